/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "outline.h"

#define P(px, py)                                                                                  \
    {                                                                                              \
        .x = (px), .y = (py)                                                                       \
    }

static const struct point square[] = {P(0, 0), P(4, 0), P(4, 3), P(0, 3)};
static const struct point ell[] = {P(0, 0), P(6, 0), P(6, 2), P(2, 2), P(2, 5), P(0, 5)};

Test(outline, area_has_the_sign_of_the_turn)
{
    const struct point clockwise[] = {P(0, 0), P(0, 3), P(4, 3), P(4, 0)};
    cr_assert(near(outline_area(square, 4), 12, 1e-12), "a rectangle");
    cr_assert(near(outline_area(clockwise, 4), -12, 1e-12), "the same, clockwise");
    cr_assert(near(outline_area(ell, 6), 18, 1e-12), "an L: 6 x 2 and 2 x 3");
    cr_assert(outline_area(square, 0) == 0, "no corners");
}

Test(outline, width_is_the_least_of_the_box)
{
    cr_assert(near(outline_width(square, 4), 3, 1e-12));
    cr_assert(near(outline_width(ell, 6), 5, 1e-12));
    cr_assert(outline_width(square, 0) == 0);
}

Test(outline, points_inside_and_beside)
{
    static const struct {
        double x, y;
        bool in;
    } rows[] = {{1, 1, true},  {5, 1, true},   {1, 4, true},
                {4, 4, false}, {-1, 1, false}, {7, 1, false}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        cr_expect(outline_has(ell, 6, rows[i].x, rows[i].y) == rows[i].in, "row %zu", i);
}

Test(outline, distance_to_the_nearest_side)
{
    cr_assert(near(outline_distance(square, 4, 2, 1), 1, 1e-12), "inside, to the bottom");
    cr_assert(near(outline_distance(square, 4, 7, 7), 5, 1e-12), "outside, to a corner: 3-4-5");
    cr_assert(near(outline_distance(square, 4, 4, 2), 0, 1e-12), "on a side");
}

Test(outline, stretches_that_meet)
{
    static const struct {
        struct point a, b;
        bool meets;
    } rows[] = {
        {P(1, 1), P(9, 9), true},   /* starts inside */
        {P(-1, 1), P(9, 1), true},  /* straight through */
        {P(-1, 4), P(9, 4), false}, /* past it */
        {P(4, 3), P(9, 9), true},   /* touches a corner */
        {P(1, 3), P(2, 3), true},   /* along a side */
        {P(5, 0), P(9, 0), false},  /* in line with a side, beyond it */
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        cr_expect(outline_meets(square, 4, rows[i].a, rows[i].b) == rows[i].meets, "row %zu", i);
}

Test(outline, rings_that_overlap)
{
    const struct point inside[] = {P(1, 1), P(2, 1), P(1, 2)};
    const struct point around[] = {P(-9, -9), P(9, -9), P(9, 9), P(-9, 9)};
    const struct point across[] = {P(-1, 1), P(5, 1), P(5, 2), P(-1, 2)};
    const struct point beside[] = {P(5, 0), P(6, 0), P(6, 3)};
    cr_assert(outline_overlaps(square, 4, inside, 3) && outline_overlaps(inside, 3, square, 4));
    cr_assert(outline_overlaps(square, 4, around, 4) && outline_overlaps(around, 4, square, 4));
    cr_assert(outline_overlaps(square, 4, across, 4), "no corner inside the other");
    cr_assert(!outline_overlaps(square, 4, beside, 3) && !outline_overlaps(beside, 3, square, 4));
}

Test(outline, crossing_is_found_where_it_is)
{
    const struct point bow[] = {P(0, 0), P(4, 4), P(4, 0), P(0, 5)};
    const struct point spike[] = {P(0, 0), P(4, 0), P(2, 0), P(2, 3)};
    const struct point touch[] = {P(0, 0), P(4, 0), P(4, 4), P(2, 0), P(0, 4)};
    const struct point flat[] = {P(0, 0), P(4, 0), P(2, 0)};
    size_t i = 9, k = 9;
    cr_assert(!outline_crosses_itself(square, 4, &i, &k) && i == 9, "a square does not");
    cr_assert(!outline_crosses_itself(ell, 6, &i, &k), "nor does an L");
    cr_assert(outline_crosses_itself(bow, 4, &i, &k) && i == 0 && k == 2, "a bow: %zu %zu", i, k);
    cr_assert(outline_crosses_itself(spike, 4, &i, &k) && i == 0 && k == 1, "back over itself");
    cr_assert(outline_crosses_itself(touch, 5, &i, &k), "a corner on another side");
    cr_assert(outline_crosses_itself(flat, 3, &i, &k), "a triangle without inside");
}

Test(outline, shared_ground)
{
    const struct point moved[] = {P(3.5, 0), P(7, 0), P(7, 3), P(3.5, 3)};
    const struct point beside[] = {P(4, 0), P(7, 0), P(7, 3), P(4, 3)};
    const struct point within[] = {P(1, 1), P(2, 1), P(2, 2), P(1, 2)};
    const struct point across[] = {P(1, -1), P(2, -1), P(2, 5), P(1, 5)};
    const struct point turned[] = {P(3, 4), P(6, 1), P(6, 4)}; /* cuts the corner at (4, 3) */
    const struct point notch[] = {P(2.2, 2.2), P(5, 2.2), P(5, 5), P(2.2, 5)}; /* outside of ell */
    cr_expect(outline_shares(square, 4, square, 4, 0.05));
    cr_expect(outline_shares(square, 4, moved, 4, 0.05));
    cr_expect(outline_shares(moved, 4, square, 4, 0.05));
    cr_expect(!outline_shares(square, 4, beside, 4, 0.05));
    cr_expect(!outline_shares(square, 4, moved, 4, 0.3), "within the slack");
    cr_expect(outline_shares(square, 4, within, 4, 0.05));
    cr_expect(outline_shares(within, 4, square, 4, 0.05));
    cr_expect(outline_shares(square, 4, across, 4, 0.05));
    cr_expect(!outline_shares(square, 4, turned, 3, 0.05), "it touches the corner only");
    cr_expect(!outline_shares(ell, 6, notch, 4, 0.05));
}
