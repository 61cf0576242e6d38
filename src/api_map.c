/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The files of scenes, the map's above all: a PDF of all pages, or a PNG of each. The first page's
 * PNG has the name asked for (map.png), page 2 is map-2.png and so on, and the pages that show how
 * hills are built are hills.png, hills-2.png ... beside it (of any other name x.png: x-hills.png).
 * Files of such names that an earlier map left and this one has no page for go with the same
 * all-or-none step. */
#include <errno.h>
#include <string.h>

#include "api.h"
#include "draw.h"
#include "scene.h"

bool papers_ends_in(const char *name, const char *ending)
{
    size_t n = strlen(name), m = strlen(ending);
    return n >= m && str_same(name + n - m, ending);
}

static hr_status told(struct papers *p, hr_status status, const char *name)
{
    if (status == HR_IO)
        diag_file(p->diags, name, "cannot-write", "it cannot be written%s%s",
                  errno != 0 ? ": " : "", errno != 0 ? strerror(errno) : "");
    return status;
}

/* The name of a page's picture: of the n-th (from 1) of the map's, or of the hills'. NULL: out of
 * memory. */
static const char *page_name(struct arena *arena, const char *name, bool hills, int n)
{
    char number[16] = "";
    const char *slash = strrchr(name, '/');
    const char *base = slash ? slash + 1 : name, *dot = strrchr(base, '.');
    size_t stem = dot && dot != base ? (size_t)(dot - base) : strlen(base);
    const char *ending = base + stem;
    int folder = (int)(base - name);
    if (n > 1)
        snprintf(number, sizeof number, "-%d", n);
    if (!hills)
        return arena_printf(arena, "%.*s%s%s", folder + (int)stem, name, number, ending);
    bool usual = stem == 3 && strncmp(base, "map", 3) == 0;
    return arena_printf(arena, "%.*s%.*s%s%s%s", folder, name, usual ? 0 : (int)stem, base,
                        usual ? "hills" : "-hills", number, ending);
}

static hr_status png_add(struct papers *p, const struct scene *scene, const char *name, int page,
                         const struct draw_meta *meta)
{
    FILE *file = name ? output_open(p->set, name, p->diags) : NULL;
    if (!file)
        return name ? HR_IO : HR_NOMEM;
    errno = 0;
    return told(p, draw_png(scene, page, file, meta), name);
}

/* Pictures of an earlier map beyond the last of this one. */
static hr_status surplus_retire(struct papers *p, const char *name, bool hills, int pages)
{
    hr_status status = HR_OK;
    for (int n = pages + 1; n <= SCENE_PAGES_MAX && status == HR_OK; n++) {
        const char *old = page_name(p->arena, name, hills, n);
        status = old ? output_retire(p->set, old, DRAW_PNG_MARK, sizeof DRAW_PNG_MARK - 1, p->diags)
                     : HR_NOMEM;
    }
    return status;
}

static hr_status pngs_add(struct papers *p, const struct scene *scene, const char *name,
                          const struct draw_meta *meta)
{
    int pages[2] = {0, 0}; /* of the map, of the hills */
    hr_status status = HR_OK;
    for (int i = 0; i < scene->npages && status == HR_OK; i++) {
        /* a map has at least one page that is not of the hills, and that comes first */
        bool hills = scene->pages[i].kind == PAGE_HILLS;
        status = png_add(p, scene, page_name(p->arena, name, hills, ++pages[hills]), i, meta);
    }
    for (int hills = 0; hills < 2 && status == HR_OK; hills++)
        status = surplus_retire(p, name, hills, pages[hills]);
    return status;
}

static hr_status pdf_add(struct papers *p, const struct scene *scene, const char *name,
                         const struct draw_meta *meta)
{
    FILE *file = output_open(p->set, name, p->diags);
    if (!file)
        return HR_IO;
    errno = 0;
    return told(p, draw_pdf(scene, file, meta), name);
}

hr_status papers_scene(struct papers *p, const char *name, const struct scene *scene)
{
    struct draw_meta meta;
    hr_status status = draw_meta_make(scene, p->arena, &meta);
    if (status != HR_OK)
        return status;
    if (scene != p->map) /* which was checked when it was made */
        draw_check(scene, p->diags);
    return papers_ends_in(name, ".pdf") ? pdf_add(p, scene, name, &meta)
                                        : pngs_add(p, scene, name, &meta);
}

hr_status papers_map(struct papers *p, const char *name)
{
    const struct plan *plan = p->subject;
    if (!p->map) {
        hr_status status = scene_map(p->arena, plan, paper_of(plan->garden), &p->map);
        if (status != HR_OK)
            return status;
        draw_check(p->map, p->diags);
    }
    return papers_scene(p, name, p->map);
}
