/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "source.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "diag.h"
#include "num.h"

size_t source_bom(const char *p, size_t n)
{
    return n >= 3 && memcmp(p, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
}

/* Whether a line ends behind byte i. */
static bool line_ends(const char *p, size_t n, size_t i)
{
    return p[i] == '\n' || (p[i] == '\r' && !(i + 1 < n && p[i + 1] == '\n'));
}

static bool lines_find(struct arena *arena, struct source *src)
{
    size_t lines = 1;
    for (size_t i = 0; i < src->n; i++)
        lines += line_ends(src->p, src->n, i);
    size_t *line = ARENA_ARRAY(arena, size_t, lines);
    if (!line)
        return false;
    size_t k = 0;
    line[k++] = source_bom(src->p, src->n);
    for (size_t i = 0; i < src->n; i++)
        if (line_ends(src->p, src->n, i))
            line[k++] = i + 1;
    src->line = line;
    src->lines = lines;
    return true;
}

hr_status source_text(struct arena *arena, const char *name, const char *p, size_t n,
                      const struct source **out)
{
    struct source *src = ARENA_NEW(arena, struct source);
    if (!src)
        return HR_NOMEM;
    src->name = arena_strdup(arena, name);
    src->p = arena_strndup(arena, p, n);
    src->n = n;
    if (!src->name || !src->p || !lines_find(arena, src))
        return HR_NOMEM;
    *out = src;
    return HR_OK;
}

static hr_status too_large(const char *path, struct diags *diags)
{
    diag_file(diags, path, "too-large", "the file is larger than %zu MiB, the most that is read",
              SOURCE_MAX_BYTES >> 20);
    return HR_INPUT;
}

/* Opens a regular file; never waits for the other end of a pipe. */
static hr_status file_open(const char *path, struct diags *diags, int *out, size_t *size)
{
    struct stat st;
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOCTTY);
    if (fd < 0 || fstat(fd, &st) != 0) {
        diag_file(diags, path, "cannot-read", "the file cannot be read: %s", strerror(errno));
        if (fd >= 0)
            close(fd);
        return HR_IO;
    }
    if (!S_ISREG(st.st_mode)) {
        diag_file(diags, path, "not-a-file", "this is %s, not a file with text",
                  S_ISDIR(st.st_mode) ? "a folder" : "a pipe or a device");
        close(fd);
        return HR_IO;
    }
    if (st.st_size > (off_t)SOURCE_MAX_BYTES) {
        close(fd);
        return too_large(path, diags);
    }
    *out = fd;
    *size = (size_t)st.st_size;
    return HR_OK;
}

/* Fills *bytes (to be freed) with what fd gives, *n of them, at most SOURCE_MAX_BYTES + 1: the file
 * may grow while it is read, or have said nothing of its size. */
static hr_status bytes_read(int fd, size_t size, char **bytes, size_t *n)
{
    size_t cap = size + 1, used = 0;
    char *p = malloc(cap);
    while (p) {
        if (used == cap) {
            if (cap > SOURCE_MAX_BYTES)
                break;
            cap = cap < SOURCE_MAX_BYTES / 2 ? 2 * cap + 4096 : SOURCE_MAX_BYTES + 1;
            char *more = realloc(p, cap);
            if (!more) {
                free(p);
                return HR_NOMEM;
            }
            p = more;
        }
        ssize_t got = read(fd, p + used, cap - used);
        if (got == 0)
            break;
        if (got > 0)
            used += (size_t)got;
        else if (errno != EINTR) {
            free(p);
            return HR_IO;
        }
    }
    if (!p)
        return HR_NOMEM;
    *bytes = p;
    *n = used;
    return HR_OK;
}

hr_status source_read(struct arena *arena, const char *path, struct diags *diags,
                      const struct source **out)
{
    int fd;
    size_t size, n;
    char *bytes;
    hr_status status = file_open(path, diags, &fd, &size);
    if (status != HR_OK)
        return status;
    status = bytes_read(fd, size, &bytes, &n);
    if (status == HR_IO)
        diag_file(diags, path, "cannot-read", "the file cannot be read: %s", strerror(errno));
    close(fd);
    if (status != HR_OK)
        return status;
    status =
        n > SOURCE_MAX_BYTES ? too_large(path, diags) : source_text(arena, path, bytes, n, out);
    free(bytes);
    return status;
}

void source_line_col(const struct source *src, size_t offset, size_t *line, size_t *col)
{
    if (offset > src->n)
        offset = src->n;
    size_t low = 0, high = src->lines; /* the line is in low..high-1 */
    while (high - low > 1) {
        size_t mid = low + (high - low) / 2;
        if (src->line[mid] <= offset)
            low = mid;
        else
            high = mid;
    }
    size_t start = src->line[low];
    *line = low + 1;
    *col = offset > start ? utf8_count(src->p + start, offset - start) + 1 : 1;
}
