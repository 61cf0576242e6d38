/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Seed to be saved that comes in the second year. See check.h. */
#include "check_work.h"

/* What stands for years is not planted for this season's food. */
void check_perennial(struct checking *c)
{
    for (size_t s = 0; s < c->g->seed.n; s++) {
        const struct seed *seed = garden_seed(c->g, s);
        if (!seed->standing && seed->crop->perennial.v)
            diag_warning(
                c->diags, seed->crop_name.at, "perennial-seed",
                "%s gives no harvest in the year it is planted, so it gets no ground here: "
                "tell what stands of it under `standing` of its plot",
                seed->crop->name.s);
    }
}

/* Hardy biennials that are to give seed in their second year, where no plot lets them stand so
 * long. Others are lifted in any case. */
void check_save_clear(struct checking *c)
{
    for (size_t s = 0; s < c->g->seed.n; s++) {
        const struct seed *seed = garden_seed(c->g, s);
        const struct plot *cleared = NULL;
        bool stays = false;
        for (size_t i = 0; i < c->g->plots.n; i++) {
            const struct plot *plot = garden_plot(c->g, i);
            if (plot_bans(plot, seed->crop))
                continue;
            cleared = plot->clear.set && !cleared ? plot : cleared;
            stays |= !plot->clear.set;
        }
        if (!seed_second_year(seed) || seed->crop->frost.v != FROST_HARDY || stays || !cleared)
            continue;
        diag_warning(
            c->diags, seed->save.at, "save-clear",
            "%s gives its seed in its second year, but no plot lets it stand until then: lift "
            "and store plants for seed, and set them again in spring",
            seed->variety.s);
        diag_note(c->diags, cleared->clear.at, "the ground must be clear by here");
    }
}
