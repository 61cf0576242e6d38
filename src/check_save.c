/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Seed to be saved that comes in the second year. See check.h. */
#include "check_work.h"

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
