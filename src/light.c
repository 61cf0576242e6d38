/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "light.h"

#include <assert.h>
#include <math.h>
#include <stddef.h>

#include "num.h"

#define DAY_HOURS   11 /* sampled, at the middles of equal parts of the daylight */
#define SKY_RINGS   3
#define SKY_SECTORS 8
#define YEAR_D      365
#define MEAN_DAYS   6 /* of those a phase stands for, to tell how much of a canopy is there */
/* FAO-56, table 11 (from memory): grain maize, dry bean, potato and squash end their first stage,
 * at a tenth of the full canopy, after about a fifth of their days, and are full grown after 0.42
 * to 0.5 of them. */
#define GROWTH_START 0.2
#define GROWTH_FULL  0.45
#define GROWTH_TENTH 0.1
/* Share of the beam that comes through the air at the zenith on a clear day (common in field work,
 * 0.6-0.75; from memory). */
#define BEAM_ZENITH 0.75
#define PATH_LEAST  1e-9 /* m: a touch is no crossing */

#define GRID_LEAST  4
#define GRID_MOST   8
#define GRID_STEP_M 2.0 /* wide rectangles: a row of points for each */
#define STRIP_M     0.2 /* narrow ones: a row of points for each */

#define SLICE_M 0.5

/* ---- the sky ------------------------------------------------------------------------------ */

static double wrap(double day)
{
    double r = fmod(day, YEAR_D);
    return r < 0 ? r + YEAR_D : r;
}

double light_growth(struct growth growth, double day)
{
    double t =
        (day - growth.sow) / (growth.ripe - growth.sow); /* days run on past the year's end */
    if (!(growth.ripe > growth.sow) || t < 0 || t > 1)
        return 0;
    if (t < GROWTH_START)
        return GROWTH_TENTH * t / GROWTH_START;
    if (t < GROWTH_FULL)
        return GROWTH_TENTH +
               (1 - GROWTH_TENTH) * (t - GROWTH_START) / (GROWTH_FULL - GROWTH_START);
    return 1;
}

void light_missing(const struct sky *sky, struct growth growth, double missing[LIGHT_PHASES])
{
    for (int p = 0; p < LIGHT_PHASES; p++) {
        double sum = 0;
        for (int i = 0; i < MEAN_DAYS; i++)
            sum += light_growth(growth, sky->day[p] + sky->span_d * ((i + 0.5) / MEAN_DAYS - 0.5));
        missing[p] = 1 - sum / MEAN_DAYS;
    }
}

/* azimuth: from north, eastward. Directions are set out from north, not from the plot, so that
 * turning the plot changes nothing. */
static void sky_add(struct sky *sky, double elevation, double azimuth, double bearing,
                    double weight, int phase)
{
    double flat = cos(elevation);
    sky->rays[sky->n++] = (struct ray){
        .dx = flat * sin(azimuth - bearing),
        .dy = flat * cos(azimuth - bearing),
        .dz = sin(elevation),
        .weight = weight,
        .phase = phase,
    };
}

/* The sun's own directions of one day; their weights sum to what is returned. */
static double sky_add_sun(struct sky *sky, double latitude, double bearing, int phase)
{
    double sum = 0;
    int day = (int)lround(wrap(sky->day[phase]));
    double hours = sun_day_length(day, latitude);
    for (int h = 0; h < DAY_HOURS; h++) {
        double hour = 12 + hours * ((h + 0.5) / DAY_HOURS - 0.5);
        struct sun_position sun = sun_solar(day, hour, latitude);
        double up = sin(sun.elevation);
        if (up <= 1e-6)
            continue;
        double weight = hours * up * pow(BEAM_ZENITH, 1 / up);
        sky_add(sky, sun.elevation, sun.azimuth, bearing, weight, phase);
        sum += weight;
    }
    return sum;
}

/* An even sky: rings of equal sin(elevation)^2 give level ground equal light. Every other ring and
 * day is turned by half a sector; each is its own mirror image from east to west and from north to
 * south. */
static void sky_add_diffuse(struct sky *sky, double bearing, double weight, int phase)
{
    for (int ring = 0; ring < SKY_RINGS; ring++) {
        double elevation = asin(sqrt((ring + 0.5) / SKY_RINGS));
        for (int s = 0; s < SKY_SECTORS; s++)
            sky_add(sky, elevation, 2 * M_PI * (s + 0.5 * ((ring + phase) % 2)) / SKY_SECTORS,
                    bearing, weight / (SKY_RINGS * SKY_SECTORS), phase);
    }
}

void light_sky(double latitude, double bearing, int from, int to, double diffuse_share,
               struct sky *out)
{
    double diffuse = num_clamp(diffuse_share, 0, 1), total = 0, sums[LIGHT_PHASES];
    double span = (double)to - from >= YEAR_D ? YEAR_D - 1 : wrap((double)to - from);
    *out = (struct sky){.n = 0, .span_d = span / LIGHT_PHASES};
    for (int p = 0; p < LIGHT_PHASES; p++) {
        out->day[p] = from + (p + 0.5) * span / LIGHT_PHASES;
        sums[p] = sky_add_sun(out, latitude, bearing, p);
        total += sums[p];
    }
    int nsun = out->n;
    for (int i = 0; i < nsun; i++)
        out->rays[i].weight *= total > 0 ? (1 - diffuse) / total : 0;
    for (int p = 0; p < LIGHT_PHASES; p++) {
        /* in polar night all light is diffuse */
        double weight = total > 0 ? diffuse * sums[p] / total : 1.0 / LIGHT_PHASES;
        if (weight > 0)
            sky_add_diffuse(out, bearing, weight, p);
    }
}

void light_season(double latitude, double bearing, int from, int to, double diffuse_share,
                  struct light_season *out)
{
    double sum = 0;
    for (int i = 0; i < LIGHT_PARTS; i++) {
        int first = from + (to - from) * i / LIGHT_PARTS;
        int last = from + (to - from) * (i + 1) / LIGHT_PARTS;
        light_sky(latitude, bearing, first, last, diffuse_share, &out->part[i]);
        int middle = (int)lround(wrap((first + last) / 2.0));
        out->weight[i] = sun_extraterrestrial(middle, latitude) * (last - first) + 1e-9;
        sum += out->weight[i];
    }
    for (int i = 0; i < LIGHT_PARTS; i++)
        out->weight[i] /= sum;
}

/* ---- crossings ---------------------------------------------------------------------------- */

/* A ray with what the crossings of all points need of it. */
struct trace {
    struct ray ray;
    double step_x, step_y, step_z; /* metres of ray per metre of x, y, z */
};

/* A ray that keeps its x is taken to leave it by a hair: no wall is missed, nothing is divided by
 * 0. */
static double metres_per(double d)
{
    return 1 / (fabs(d) > 1e-12 ? d : 1e-12);
}

/* A stretch of a ray, in metres from its start. */
struct stretch {
    double in, out;
};

/* The stretch cut to where the ray is between lo and hi of one axis. */
static inline struct stretch slab(struct stretch s, double from, double step, double lo, double hi)
{
    double a = (lo - from) * step, b = (hi - from) * step;
    double near = a < b ? a : b, far = a < b ? b : a;
    return (struct stretch){near > s.in ? near : s.in, far < s.out ? far : s.out};
}

static inline struct stretch round_wall(struct stretch s, const struct ray *ray, double x, double y,
                                        const struct rect *r)
{
    double radius = (r->x1 - r->x0) / 2;
    double px = x - (r->x0 + r->x1) / 2, py = y - (r->y0 + r->y1) / 2;
    double a = ray->dx * ray->dx + ray->dy * ray->dy;
    double c = px * px + py * py - radius * radius;
    if (a < 1e-12) /* straight up */
        return c < 0 ? s : (struct stretch){0, 0};
    double b = px * ray->dx + py * ray->dy;
    double root = b * b - a * c;
    if (root <= 0)
        return (struct stretch){0, 0};
    root = sqrt(root);
    double in = (-b - root) / a, out = (-b + root) / a;
    return (struct stretch){in > s.in ? in : s.in, out < s.out ? out : s.out};
}

/* Whether the ray from (x, y) goes through the sheet: 1 m of it then counts. */
static inline double sheet_crossing(struct stretch s, const struct ray *ray, double x, double y,
                                    const struct shader *sheet)
{
    double ex = sheet->bx - sheet->ax, ey = sheet->by - sheet->ay;
    double px = sheet->ax - x, py = sheet->ay - y;
    double across = ray->dx * ey - ray->dy * ex;
    if (fabs(across) < 1e-12)
        return 0;
    double at = (px * ey - py * ex) / across, along = (px * ray->dy - py * ray->dx) / across;
    return at > PATH_LEAST && at > s.in && at < s.out && along >= 0 && along <= 1 ? 1 : 0;
}

/* The stretch of the ray from (x, y) inside a box of another frame. */
static inline struct stretch turned_box(struct stretch s, const struct ray *ray, double x, double y,
                                        const struct shader *b)
{
    double there_x = b->ax + b->bx * x - b->by * y, there_y = b->ay + b->by * x + b->bx * y;
    double dx = b->bx * ray->dx - b->by * ray->dy, dy = b->by * ray->dx + b->bx * ray->dy;
    s = slab(s, there_x, metres_per(dx), b->turned.x0, b->turned.x1);
    return slab(s, there_y, metres_per(dy), b->turned.y0, b->turned.y1);
}

/* Metres of the ray from (x, y) that lie inside the shader; `high`: the stretch between the ground
 * and its top. */
static inline double crossing(const struct trace *t, struct stretch high, double x, double y,
                              const struct shader *shader)
{
    struct stretch s = high;
    if (shader->form == SHADER_SHEET)
        return sheet_crossing(s, &t->ray, x, y, shader);
    if (shader->form == SHADER_ROUND) {
        s = round_wall(s, &t->ray, x, y, &shader->r);
    } else if (shader->form == SHADER_TURNED) {
        s = turned_box(s, &t->ray, x, y, shader);
    } else {
        s = slab(s, x, t->step_x, shader->r.x0, shader->r.x1);
        s = slab(s, y, t->step_y, shader->r.y0, shader->r.y1);
    }
    return s.out - s.in > PATH_LEAST ? s.out - s.in : 0;
}

/* ---- points ------------------------------------------------------------------------------- */

static_assert(GRID_MOST * GRID_MOST <= LIGHT_POINTS_MAX, "a grid has room");

struct points {
    int n, nx;     /* nx > 0: a grid, so many in a row; the rows have the same x */
    struct rect r; /* around them */
    double z_full; /* of a receiver full grown */
    double z;      /* on the day of the present ray */
    double x[LIGHT_POINTS_MAX], y[LIGHT_POINTS_MAX];
    double depth[LIGHT_POINTS_MAX];   /* extinction times path of the present ray */
    double surface[LIGHT_POINTS_MAX]; /* share let through by surfaces */
    int whole[LIGHT_POINTS_MAX];      /* the many-boxed thing whose surface was met last */
};

static double shader_top(const struct shader *s, const struct ray *ray)
{
    return s->height_m * (1 - s->missing[ray->phase]);
}

/* Whether the shader, up to `top`, can come between any of the points and the light. */
static bool shader_matters(const struct points *p, const struct ray *ray, const struct shader *s,
                           double top)
{
    if (!(top > p->z))
        return false;
    double reach = ray->dz > 0 ? (top - p->z) / ray->dz : HUGE_VAL;
    if (!isfinite(reach))
        return true;
    double ox = reach * ray->dx, oy = reach * ray->dy; /* how far the light comes from aside */
    return s->r.x1 >= p->r.x0 + (ox < 0 ? ox : 0) && s->r.x0 <= p->r.x1 + (ox > 0 ? ox : 0) &&
           s->r.y1 >= p->r.y0 + (oy < 0 ? oy : 0) && s->r.y0 <= p->r.y1 + (oy > 0 ? oy : 0);
}

static inline void point_shade(struct points *p, int i, const struct shader *s, double path)
{
    p->depth[i] += s->extinction_per_m * path;
    if (s->whole == 0 || s->whole != p->whole[i])
        p->surface[i] *= s->surface_light;
    p->whole[i] = s->whole;
}

/* As points_shade of a box on a grid: a ray's stretch between two walls is that of all points in
 * line with them. */
static void grid_shade(struct points *p, const struct trace *t, const struct shader *s,
                       struct stretch high)
{
    struct stretch along[GRID_MOST];
    const int nx = p->nx;
    for (int c = 0; c < nx; c++)
        along[c] = slab(high, p->x[c], t->step_x, s->r.x0, s->r.x1);
    for (int first = 0; first < p->n; first += nx) {
        struct stretch across = slab(high, p->y[first], t->step_y, s->r.y0, s->r.y1);
        if (across.out - across.in <= PATH_LEAST)
            continue;
        for (int c = 0; c < nx; c++) {
            double in = along[c].in > across.in ? along[c].in : across.in;
            double out = along[c].out < across.out ? along[c].out : across.out;
            if (out - in > PATH_LEAST)
                point_shade(p, first + c, s, out - in);
        }
    }
}

static void points_shade(struct points *p, const struct trace *t, const struct shader *s,
                         double top)
{
    struct stretch high = slab((struct stretch){0, HUGE_VAL}, p->z, t->step_z, 0, top);
    if (p->nx > 0 && s->form == SHADER_BOX) {
        grid_shade(p, t, s, high);
        return;
    }
    for (int i = 0; i < p->n; i++) {
        double path = crossing(t, high, p->x[i], p->y[i], s);
        if (path > 0)
            point_shade(p, i, s, path);
    }
}

/* Mean light of the points; what they hold is overwritten. */
static double points_light(const struct sky *sky, struct points *p, const struct shader *shaders,
                           int nshaders, int skip)
{
    double lost = 0; /* summed instead of the light, so that open ground is 1 exactly */
    for (int k = 0; k < sky->n; k++) {
        const struct ray *ray = &sky->rays[k];
        struct trace t = {*ray, metres_per(ray->dx), metres_per(ray->dy), metres_per(ray->dz)};
        bool any = false;
        p->z = p->z_full * (1 - sky->missing[ray->phase]);
        for (int s = 0; s < nshaders; s++) {
            double top = shader_top(&shaders[s], ray);
            if (s == skip || !shader_matters(p, ray, &shaders[s], top))
                continue;
            if (!any)
                for (int i = 0; i < p->n; i++) {
                    p->depth[i] = 0;
                    p->surface[i] = 1;
                    p->whole[i] = 0;
                }
            any = true;
            points_shade(p, &t, &shaders[s], top);
        }
        double through = 0;
        for (int i = 0; any && i < p->n; i++)
            through += p->depth[i] > 0 ? p->surface[i] * exp(-p->depth[i]) : p->surface[i];
        if (any)
            lost += ray->weight * (1 - through / p->n);
    }
    return num_clamp(1 - lost, 0, 1);
}

static void rect_grow(struct rect *r, double x, double y)
{
    r->x0 = fmin(r->x0, x);
    r->y0 = fmin(r->y0, y);
    r->x1 = fmax(r->x1, x);
    r->y1 = fmax(r->y1, y);
}

static int grid_count(double side_m)
{
    if (side_m < GRID_LEAST * STRIP_M)
        return side_m > STRIP_M ? (int)ceil(side_m / STRIP_M) : 1;
    return (int)num_clamp(ceil(side_m / GRID_STEP_M), GRID_LEAST, GRID_MOST);
}

double light_on_rect(const struct sky *sky, struct rect r, double z_m, const struct shader *shaders,
                     int nshaders, int skip)
{
    struct points p;
    int nx = grid_count(r.x1 - r.x0), ny = grid_count(r.y1 - r.y0);
    p.n = nx * ny;
    p.nx = nx;
    p.r = r;
    p.z_full = z_m;
    for (int i = 0; i < p.n; i++) {
        int column = i % nx, row = i / nx;
        p.x[i] = r.x0 + (r.x1 - r.x0) * (column + 0.5) / nx;
        p.y[i] = r.y0 + (r.y1 - r.y0) * (row + 0.5) / ny;
    }
    return points_light(sky, &p, shaders, nshaders, skip);
}

double light_on_points(const struct sky *sky, const double *x, const double *y, int n, double z_m,
                       const struct shader *shaders, int nshaders)
{
    struct points p;
    p.n = n < LIGHT_POINTS_MAX ? n : LIGHT_POINTS_MAX;
    p.nx = 0;
    p.r = (struct rect){HUGE_VAL, HUGE_VAL, -HUGE_VAL, -HUGE_VAL};
    p.z_full = z_m;
    for (int i = 0; i < p.n; i++) {
        p.x[i] = x[i];
        p.y[i] = y[i];
        rect_grow(&p.r, x[i], y[i]);
    }
    return points_light(sky, &p, shaders, nshaders, -1);
}

double light_at_point(const struct sky *sky, double x, double y, double z_m,
                      const struct shader *shaders, int nshaders, int skip)
{
    struct points p;
    p.n = 1;
    p.nx = 0;
    p.r = (struct rect){x, y, x, y};
    p.z_full = z_m;
    p.x[0] = x;
    p.y[0] = y;
    return points_light(sky, &p, shaders, nshaders, skip);
}

/* ---- obstacles ---------------------------------------------------------------------------- */

/* Bounds of what of the outline lies at lo..hi of x (by_x) or of y. */
static struct rect outline_bounds(const struct list *outline, bool by_x, double lo, double hi)
{
    const struct point *p = outline->items;
    struct rect r = {HUGE_VAL, HUGE_VAL, -HUGE_VAL, -HUGE_VAL};
    for (size_t i = 0; i < outline->n; i++) {
        struct point a = p[i], b = p[(i + 1) % outline->n];
        double from = by_x ? a.x : a.y, step = by_x ? b.x - a.x : b.y - a.y;
        double t0 = 0, t1 = 1;
        if (step != 0) {
            t0 = fmax(t0, fmin((lo - from) / step, (hi - from) / step));
            t1 = fmin(t1, fmax((lo - from) / step, (hi - from) / step));
        } else if (from < lo || from > hi) {
            continue;
        }
        if (t0 > t1)
            continue;
        rect_grow(&r, a.x + t0 * (b.x - a.x), a.y + t0 * (b.y - a.y));
        rect_grow(&r, a.x + t1 * (b.x - a.x), a.y + t1 * (b.y - a.y));
    }
    return r;
}

/* Whether the outline is its own bounding box, as walls and sheds mostly are. */
static bool outline_is_box(const struct list *outline, const struct rect *r)
{
    const struct point *p = outline->items;
    double twice = 0;
    for (size_t i = 0, j = outline->n - 1; i < outline->n; j = i++)
        twice += p[j].x * p[i].y - p[i].x * p[j].y;
    return fabs(twice) / 2 > 0.98 * (r->x1 - r->x0) * (r->y1 - r->y0);
}

/* A slanting hedge is no box over half the plot: cut into slices along its longer side, each counts
 * as its bounding box. */
static int outline_shaders(const struct obstacle *o, struct shader like, int whole,
                           struct shader *out)
{
    struct rect all = outline_bounds(&o->outline, true, -HUGE_VAL, HUGE_VAL);
    double wide = all.x1 - all.x0, deep = all.y1 - all.y0;
    bool by_x = wide >= deep;
    int slices = 1, n = 0;
    if (!outline_is_box(&o->outline, &all))
        slices = (int)num_clamp(ceil(fmax(wide, deep) / SLICE_M), 1, LIGHT_SLICES_MAX);
    like.whole = slices > 1 ? whole : 0;
    for (int i = 0; i < slices; i++) {
        double start = by_x ? all.x0 : all.y0, length = by_x ? wide : deep;
        like.r = outline_bounds(&o->outline, by_x, start + length * i / slices,
                                start + length * (i + 1) / slices);
        if (like.r.x0 <= like.r.x1)
            out[n++] = like;
    }
    return n;
}

/* A side is a sheet: what of a wall or hedge lies behind it takes no more light from the plot. */
static struct shader edge_shader(const struct edge *edge, const struct point *corners, size_t n)
{
    size_t from = (size_t)edge->side.v - 1;
    struct point a = corners[from % n], b = corners[(from + 1) % n];
    bool solid = !(edge->light.v > 0);
    return (struct shader){
        .form = SHADER_SHEET,
        .r = {fmin(a.x, b.x), fmin(a.y, b.y), fmax(a.x, b.x), fmax(a.y, b.y)},
        .ax = a.x,
        .ay = a.y,
        .bx = b.x,
        .by = b.y,
        .height_m = edge->height_m.v,
        .extinction_per_m = solid ? HUGE_VAL : 0,
        .surface_light = solid ? 1 : edge->light.v,
    };
}

static int obstacle_shaders(const struct obstacle *o, int whole, struct shader *out)
{
    if (!(o->height_m.v > 0) || o->light.v >= 1)
        return 0;
    bool solid = !(o->light.v > 0);
    struct shader s = {
        .height_m = o->height_m.v,
        .extinction_per_m = solid ? HUGE_VAL : 0,
        .surface_light = solid ? 1 : o->light.v,
    };
    if (o->outline.n >= 3)
        return outline_shaders(o, s, whole, out);
    if (!(o->radius_m.v > 0))
        return 0;
    s.form = SHADER_ROUND;
    s.r = (struct rect){o->place.x - o->radius_m.v, o->place.y - o->radius_m.v,
                        o->place.x + o->radius_m.v, o->place.y + o->radius_m.v};
    out[0] = s;
    return 1;
}

hr_status light_obstacles(const struct plot *plot, struct arena *arena, struct shader **out, int *n)
{
    const struct obstacle *o = plot->obstacles.items;
    const struct edge *edges = plot->edges.items;
    size_t most = plot->obstacles.n * LIGHT_SLICES_MAX + plot->edges.n, ncorners = 0;
    struct shader *shaders = ARENA_ARRAY(arena, struct shader, most);
    const struct point *corners = plot_corners(arena, plot, &ncorners);
    int count = 0;
    if (!shaders || !corners)
        return HR_NOMEM;
    for (size_t i = 0; i < plot->obstacles.n; i++)
        count += obstacle_shaders(&o[i], (int)i + 1, shaders + count);
    for (size_t i = 0; i < plot->edges.n; i++)
        if (edges[i].height_m.v > 0 && edges[i].light.v < 1 && edges[i].side.v >= 1)
            shaders[count++] = edge_shader(&edges[i], corners, ncorners);
    *out = shaders;
    *n = count;
    return HR_OK;
}
