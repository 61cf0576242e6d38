/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whether what is picked again and again can be reached. */
#include "verify_work.h"

void verify_access(struct verifying *v)
{
    for (int b = 0; b < v->plan->nblocks; b++) {
        const struct planting *p = v->plan->blocks[b].planting;
        bool closed = p->guild && p->guild->closed.v;
        for (int k = 0; k < p->nparts; k++) {
            const struct seed *seed = p->parts[k].seed;
            int way = seed->harvest.set ? seed->harvest.v : seed->crop->harvest.v;
            if (closed && way == (int)HARVEST_FRESH)
                verify_breach_at(v, seed->at,
                                 "%s stands among vines that close the ground (%s) and is picked "
                                 "again and again",
                                 seed->variety.s, verify_block(v, b));
        }
    }
}
