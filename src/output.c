/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "output.h"

#include <errno.h>
#include <fcntl.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/random.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#define TEMPORARY_TRIES 100

struct output {
    const char *name;
    const char *path;  /* as the caller knows it: for messages */
    const char *place; /* the file to be replaced: links followed */
    const char *temporary;
    FILE *stream; /* NULL once closed */
    bool retired; /* nothing takes its place */
    bool renamed; /* the new file is in its place, and of the old one: */
    enum { OLD_NONE, OLD_KEPT, OLD_GONE } old; /* there was none, it has the temporary name, ... */
    struct output *next;
};

struct output_set {
    struct arena *arena;
    const char *dir;
    bool made_dir;
    struct output *first, **tail; /* in the order of opening */
};

struct output_set *output_set_new(struct arena *arena, const char *dir)
{
    struct output_set *set = ARENA_NEW(arena, struct output_set);
    if (!set)
        return NULL;
    set->arena = arena;
    set->tail = &set->first;
    if (dir && !(set->dir = arena_strdup(arena, dir)))
        return NULL;
    return set;
}

static void cannot_write(struct diags *diags, const char *path, const char *why)
{
    diag_file(diags, path, "cannot-write", "cannot be written: %s", why);
}

static void no_memory(struct diags *diags, const char *path)
{
    cannot_write(diags, path, "out of memory");
}

/* ---- opening -------------------------------------------------------------------------------- */

static bool folder_ready(struct output_set *set, struct diags *diags)
{
    struct stat st;
    if (!set->dir || set->first) /* none, or looked at with the first file */
        return true;
    if (mkdir(set->dir, 0777) == 0) {
        set->made_dir = true;
        return true;
    }
    int why = errno;
    if (why == EEXIST && stat(set->dir, &st) == 0) {
        if (S_ISDIR(st.st_mode))
            return true;
        why = ENOTDIR;
    }
    if (why == ENOENT)
        diag_file(diags, set->dir, "cannot-write",
                  "the folder cannot be made: the one it should lie in is not there");
    else if (why == ENOTDIR)
        diag_file(diags, set->dir, "cannot-write",
                  "the folder cannot be made: a file is in its place");
    else
        diag_file(diags, set->dir, "cannot-write", "the folder cannot be made: %s", strerror(why));
    return false;
}

/* The file that is to be replaced: a link is followed, so that it stays one. What is no regular
 * file is refused: renaming over a device or a pipe would remove it. */
static bool place_find(struct output_set *set, struct output *o, struct diags *diags)
{
    struct stat st;
    o->place = o->path;
    if (o->path[0] == '\0') {
        cannot_write(diags, o->path, "the name is empty");
        return false;
    }
    if (lstat(o->path, &st) != 0) {
        if (errno == ENOENT)
            return true;
        cannot_write(diags, o->path, strerror(errno));
        return false;
    }
    if (S_ISLNK(st.st_mode)) {
        char *real = realpath(o->path, NULL);
        if (!real || stat(real, &st) != 0) {
            cannot_write(diags, o->path, "it is a link to something that is not there");
            free(real);
            return false;
        }
        o->place = arena_strdup(set->arena, real);
        free(real);
        if (!o->place) {
            no_memory(diags, o->path);
            return false;
        }
    }
    if (!S_ISREG(st.st_mode)) {
        cannot_write(diags, o->path,
                     S_ISDIR(st.st_mode) ? "a folder of that name is in the way"
                                         : "it is a device or a pipe, not a file");
        return false;
    }
    if (access(o->place, W_OK) != 0) { /* renaming would not ask */
        cannot_write(diags, o->path, strerror(errno));
        return false;
    }
    return true;
}

static uint64_t random_bits(void)
{
    uint64_t bits;
    if (getrandom(&bits, sizeof bits, GRND_NONBLOCK) == (ssize_t)sizeof bits)
        return bits;
    struct timespec now; /* no randomness yet: O_EXCL still keeps files apart */
    clock_gettime(CLOCK_REALTIME, &now);
    return (uint64_t)now.tv_nsec * 2654435761u + (uint64_t)getpid();
}

/* Makes the temporary file beside the place; -1 with errno. */
static int temporary_open(struct output_set *set, struct output *o)
{
    const char *slash = strrchr(o->place, '/');
    int folder = slash ? (int)(slash - o->place) + 1 : 0;
    for (int i = 0; i < TEMPORARY_TRIES; i++) {
        o->temporary = arena_printf(set->arena, "%.*s.hillrow-%016llx", folder, o->place,
                                    (unsigned long long)random_bits());
        if (!o->temporary) {
            errno = ENOMEM;
            return -1;
        }
        int fd = open(o->temporary, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, 0666);
        if (fd >= 0 || errno != EEXIST)
            return fd;
    }
    return -1;
}

FILE *output_open(struct output_set *set, const char *name, struct diags *diags)
{
    struct output *o = ARENA_NEW(set->arena, struct output);
    const char *sep = set->dir && set->dir[0] != '\0' ? "/" : "";
    const char *path = arena_printf(set->arena, "%s%s%s", set->dir ? set->dir : "", sep, name);
    if (!o || !path) {
        no_memory(diags, name);
        return NULL;
    }
    o->path = path;
    o->name = arena_strdup(set->arena, name);
    if (!folder_ready(set, diags) || !place_find(set, o, diags))
        return NULL;
    int fd = temporary_open(set, o);
    if (fd < 0) {
        cannot_write(diags, path, errno == ENOENT ? "its folder is not there" : strerror(errno));
        return NULL;
    }
    *set->tail = o;
    set->tail = &o->next;
    o->stream = fdopen(fd, "wb");
    if (!o->stream) {
        cannot_write(diags, path, strerror(errno));
        close(fd);
        return NULL;
    }
    return o->stream;
}

/* Whether the file is there, a regular one, and has the mark near its beginning. */
static bool has_mark(const char *path, const char *mark, size_t n)
{
    char head[1024];
    struct stat st;
    if (lstat(path, &st) != 0 || !S_ISREG(st.st_mode))
        return false;
    FILE *file = fopen(path, "rb");
    if (!file)
        return false;
    size_t got = fread(head, 1, sizeof head, file);
    fclose(file);
    return memmem(head, got, mark, n) != NULL;
}

hr_status output_retire(struct output_set *set, const char *name, const char *mark, size_t mark_n,
                        struct diags *diags)
{
    const char *sep = set->dir && set->dir[0] != '\0' ? "/" : "";
    const char *path = arena_printf(set->arena, "%s%s%s", set->dir ? set->dir : "", sep, name);
    if (path && !has_mark(path, mark, mark_n))
        return HR_OK;
    struct output *o = path ? ARENA_NEW(set->arena, struct output) : NULL;
    if (!o) {
        no_memory(diags, name);
        return HR_NOMEM;
    }
    *o = (struct output){.path = path, .place = path, .retired = true};
    int fd = temporary_open(set, o);
    if (fd < 0) {
        cannot_write(diags, path, strerror(errno));
        return HR_IO;
    }
    close(fd);
    *set->tail = o;
    set->tail = &o->next;
    return HR_OK;
}

void output_names(const struct output_set *set, struct strbuf *out)
{
    const struct output *last = NULL;
    for (const struct output *o = set->first; o; o = o->next)
        last = o->retired ? last : o;
    for (const struct output *o = set->first; o; o = o->next)
        if (!o->retired)
            strbuf_printf(out, "%s%s",
                          o == set->first ? ""
                          : o == last     ? " and "
                                          : ", ",
                          o->name ? o->name : o->path);
}

/* ---- closing -------------------------------------------------------------------------------- */

/* Brings the stream's bytes to the disk and closes it. */
static bool finish(struct output *o, struct diags *diags)
{
    FILE *stream = o->stream;
    if (o->retired)
        return true;
    if (!stream) /* it was reported when it was opened */
        return false;
    o->stream = NULL;
    errno = 0;
    bool good = fflush(stream) == 0;
    good = !ferror(stream) && good;
    if (good && fsync(fileno(stream)) != 0)
        good = errno == EINVAL; /* a file system that cannot; nothing was lost */
    int why = errno;
    if (fclose(stream) != 0 && good) {
        good = false;
        why = errno;
    }
    if (!good)
        cannot_write(diags, o->path, why ? strerror(why) : "an earlier write failed");
    return good;
}

/* Puts the new file in its place. The old one takes the temporary name, so that it can come back;
 * on a file system that cannot exchange names it is gone at once. */
static bool into_place(struct output *o, struct diags *diags)
{
    if (o->retired) { /* out of its place, over the empty file of the temporary name */
        if (rename(o->place, o->temporary) != 0) {
            cannot_write(diags, o->path, strerror(errno));
            return false;
        }
        o->old = OLD_KEPT;
    } else if (renameat2(AT_FDCWD, o->temporary, AT_FDCWD, o->place, RENAME_EXCHANGE) == 0) {
        o->old = OLD_KEPT;
    } else {
        o->old = errno == ENOENT ? OLD_NONE : OLD_GONE;
        if (rename(o->temporary, o->place) != 0) {
            cannot_write(diags, o->path, strerror(errno));
            return false;
        }
    }
    o->renamed = true;
    return true;
}

static void forget(struct output_set *set)
{
    set->first = NULL;
    set->tail = &set->first;
    set->made_dir = false;
}

hr_status output_commit(struct output_set *set, struct diags *diags)
{
    bool good = true;
    for (struct output *o = set->first; o; o = o->next)
        good = finish(o, diags) && good;
    for (struct output *o = set->first; o && good; o = o->next)
        good = into_place(o, diags);
    if (!good) {
        output_abandon(set);
        return HR_IO;
    }
    for (struct output *o = set->first; o; o = o->next)
        if (o->old == OLD_KEPT)
            unlink(o->temporary);
    forget(set);
    return HR_OK;
}

void output_abandon(struct output_set *set)
{
    for (struct output *o = set->first; o; o = o->next) {
        if (o->stream)
            fclose(o->stream);
        if (!o->renamed)
            unlink(o->temporary);
        else if (o->old == OLD_KEPT)
            rename(o->temporary, o->place);
        else if (o->old == OLD_NONE)
            unlink(o->place);
    }
    if (set->made_dir)
        rmdir(set->dir);
    forget(set);
}
