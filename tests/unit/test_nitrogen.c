/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "garden_text.h"
#include "nitrogen.h"

/* 1 t/ha of dry bean takes 41.6 kg N (Ontario Field Crop News 2025, Table 1) and, with 38 % of the
 * crop's N from the air (Peoples et al. 2021), fixes about 25 kg: a net export of about 15 kg. */
Test(nitrogen, dry_bean_takes_more_than_it_fixes)
{
    struct garden_text t = {.arena = arena_new(ARENA_CAP_DEFAULT), .diags = diags_new()};
    CALL(library_read(t.arena, "crops", t.diags, &t.library));
    const struct crop *bean = library_crop(t.library, "bush bean");
    cr_assert(bean != NULL, "the library has a bush bean");
    struct nitrogen n = nitrogen_harvest(bean, 1000);
    cr_assert(near(n.taken, 41.6, 0.05), "taken %g", n.taken);
    cr_assert(near(n.fixed, 25, 1.5), "fixed %g", n.fixed);
    cr_assert(near(n.taken - n.fixed, 16, 2), "net %g", n.taken - n.fixed);
    const struct crop *corn = library_crop(t.library, "flint corn");
    cr_assert(nitrogen_harvest(corn, 1000).fixed == 0, "corn fixes none");
    garden_text_free(&t);
}

/* 5 kg of moist compost, half of it dry with 1.5 % N, gives 2 to 4 g in its first year (Hartz: 5 to
 * 10 % of the N; derived). */
Test(nitrogen, compost_gives_little_in_its_first_year)
{
    double kg = nitrogen_compost_kg(0.003);
    cr_assert(kg > 3.75 && kg < 7.5, "3 g of N from %g kg", kg);
    cr_assert(near(nitrogen_compost_kg(0.006), 2 * kg, 1e-9), "in proportion");
}
