/* SPDX-License-Identifier: GPL-3.0-or-later */
/* hillrow new: a starter garden file. */
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "cmd.h"

#define ENDING ".yaml"

static bool ends_with(const char *s, const char *ending)
{
    size_t n = strlen(s), m = strlen(ending);
    return n > m && strcmp(s + n - m, ending) == 0;
}

/* The garden's name: the file's, without folder and ending. */
static void garden_name(char *buf, size_t cap, const char *argument)
{
    const char *slash = strrchr(argument, '/');
    snprintf(buf, cap, "%s", slash ? slash + 1 : argument);
    if (ends_with(buf, ENDING))
        buf[strlen(buf) - strlen(ENDING)] = '\0';
}

static hr_status text_write(int fd, const char *text)
{
    FILE *f = fdopen(fd, "w");
    if (!f) {
        close(fd);
        return HR_IO;
    }
    bool bad = fputs(text, f) == EOF;
    if (fclose(f) != 0)
        bad = true;
    return bad ? HR_IO : HR_OK;
}

/* A new file only; what is half written is taken away again. */
static hr_status file_new(const char *path, const char *text)
{
    int fd = open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    if (fd == -1)
        return HR_IO;
    if (text_write(fd, text) == HR_OK)
        return HR_OK;
    int why = errno;
    unlink(path);
    errno = why;
    return HR_IO;
}

/* In place of the old one, which stays whole until the new one is. */
static hr_status file_over(const char *path, const char *text)
{
    char temporary[PATH_MAX];
    int n = snprintf(temporary, sizeof temporary, "%s.new", path);
    if (n < 0 || (size_t)n >= sizeof temporary) {
        errno = ENAMETOOLONG;
        return HR_IO;
    }
    if (file_new(temporary, text) != HR_OK)
        return HR_IO;
    if (rename(temporary, path) == 0)
        return HR_OK;
    int why = errno;
    unlink(temporary);
    errno = why;
    return HR_IO;
}

static hr_status file_write(const struct options *options, const char *path, const char *text)
{
    errno = 0;
    hr_status status = options->force ? file_over(path, text) : file_new(path, text);
    if (status != HR_OK && errno == EEXIST && !options->force)
        cmd_error("%s is there already; choose another name, or overwrite it with --force", path);
    else if (status != HR_OK)
        cmd_error("cannot write %s: %s", path, strerror(errno));
    else if (!options->quiet)
        printf("Wrote %s. Open it in an editor and change what differs in your garden; then\n"
               "    hillrow check %s\n"
               "says whether it can be read, and\n"
               "    hillrow plan %s\n"
               "makes the plan, the map and the planting sheet.\n",
               path, path, path);
    return status;
}

int cmd_new(const struct options *options)
{
    char name[256], path[PATH_MAX];
    const char *argument = options->argument ? options->argument : "garden" ENDING;
    bool to_stdout = strcmp(argument, "-") == 0;
    garden_name(name, sizeof name, argument);
    int n =
        snprintf(path, sizeof path, "%s%s", argument, ends_with(argument, ENDING) ? "" : ENDING);
    if (n < 0 || (size_t)n >= sizeof path || name[0] == '\0') {
        cmd_error("that is no name for a file");
        return HR_USAGE;
    }
    char *text = hr_garden_starter(options->argument && !to_stdout ? name : NULL);
    if (!text) {
        cmd_error("%s", hr_status_text(HR_NOMEM));
        return HR_NOMEM;
    }
    hr_status status = to_stdout ? cmd_print(text) : file_write(options, path, text);
    free(text);
    return (int)status;
}
