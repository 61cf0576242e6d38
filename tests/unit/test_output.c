/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <dirent.h>
#include <signal.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include "output.h"

/* A scratch folder that is gone afterwards. */
struct scratch {
    char dir[64];
    struct arena *arena;
    struct diags *diags;
};

static struct scratch scratch_new(void)
{
    struct scratch s = {.dir = "/tmp/hillrow-test-XXXXXX"};
    cr_assert_not_null(mkdtemp(s.dir));
    s.arena = arena_new(ARENA_CAP_DEFAULT);
    s.diags = diags_new();
    return s;
}

static void scratch_free(struct scratch *s)
{
    const char *cmd = arena_printf(s->arena, "chmod -R u+w %s && rm -rf %s", s->dir, s->dir);
    cr_assert(system(cmd) == 0, "%s", cmd);
    arena_free(s->arena);
    diags_free(s->diags);
}

static const char *in(struct scratch *s, const char *name)
{
    return arena_printf(s->arena, "%s/%s", s->dir, name);
}

static void put(const char *path, const char *text)
{
    FILE *f = fopen(path, "w");
    cr_assert_not_null(f);
    fputs(text, f);
    fclose(f);
}

static void expect_text(const char *path, const char *text)
{
    char buf[256] = "";
    FILE *f = fopen(path, "r");
    cr_assert_not_null(f, "%s is not there", path);
    size_t n = fread(buf, 1, sizeof buf - 1, f);
    buf[n] = '\0';
    fclose(f);
    cr_assert_str_eq(buf, text);
}

static int entries(const char *dir)
{
    int n = 0;
    DIR *d = opendir(dir);
    if (!d)
        return -1;
    for (struct dirent *e = readdir(d); e; e = readdir(d))
        n += strcmp(e->d_name, ".") != 0 && strcmp(e->d_name, "..") != 0;
    closedir(d);
    return n;
}

Test(output, whole_set_in_a_new_folder)
{
    struct scratch s = scratch_new();
    umask(027);
    struct output_set *set = output_set_new(s.arena, in(&s, "out"));
    fputs("one", output_open(set, "a.txt", s.diags));
    fputs("two", output_open(set, "b.txt", s.diags));
    cr_assert(access(in(&s, "out/a.txt"), F_OK) != 0, "nothing is there before the commit");
    CALL(output_commit(set, s.diags));
    expect_text(in(&s, "out/a.txt"), "one");
    expect_text(in(&s, "out/b.txt"), "two");
    cr_assert(entries(in(&s, "out")) == 2, "%d files", entries(in(&s, "out")));
    struct stat st;
    cr_assert(stat(in(&s, "out/a.txt"), &st) == 0);
    cr_assert((st.st_mode & 0777) == 0640, "0666 less the umask, not %o", st.st_mode & 0777);
    output_abandon(set); /* harmless */
    expect_text(in(&s, "out/a.txt"), "one");
    scratch_free(&s);
}

Test(output, replaces_old_files_and_keeps_them_when_abandoned)
{
    struct scratch s = scratch_new();
    put(in(&s, "a"), "old a");
    struct output_set *set = output_set_new(s.arena, s.dir);
    fputs("new a", output_open(set, "a", s.diags));
    fputs("new b", output_open(set, "b", s.diags));
    output_abandon(set);
    expect_text(in(&s, "a"), "old a");
    cr_assert(entries(s.dir) == 1, "only the old file");
    fputs("new a", output_open(set, "a", s.diags)); /* the set can be used again */
    CALL(output_commit(set, s.diags));
    expect_text(in(&s, "a"), "new a");
    cr_assert(entries(s.dir) == 1, "no temporary file is left");
    scratch_free(&s);
}

Test(output, folder_made_for_nothing_goes_again)
{
    struct scratch s = scratch_new();
    struct output_set *set = output_set_new(s.arena, in(&s, "out"));
    cr_assert_not_null(output_open(set, "a", s.diags));
    output_abandon(set);
    cr_assert(access(in(&s, "out"), F_OK) != 0);
    scratch_free(&s);
}

Test(output, single_files_and_links)
{
    struct scratch s = scratch_new();
    put(in(&s, "real"), "old");
    cr_assert(symlink("real", in(&s, "link")) == 0);
    cr_assert(chdir(s.dir) == 0);
    struct output_set *set = output_set_new(s.arena, NULL);
    fputs("bare name", output_open(set, "bare", s.diags));
    fputs("new", output_open(set, in(&s, "link"), s.diags));
    CALL(output_commit(set, s.diags));
    expect_text(in(&s, "bare"), "bare name");
    expect_text(in(&s, "real"), "new");
    char to[16];
    cr_assert(readlink(in(&s, "link"), to, sizeof to) == 4, "the link stays a link");
    cr_assert(symlink("nowhere", in(&s, "dangling")) == 0);
    cr_assert_null(output_open(set, in(&s, "dangling"), s.diags));
    expect_diag(s.diags, 0, 0, "cannot-write");
    scratch_free(&s);
}

/* Each way not to get at a file: named, and no trace left. */
Test(output, what_is_in_the_way)
{
    struct scratch s = scratch_new();
    put(in(&s, "file"), "a file");
    cr_assert(mkdir(in(&s, "folder"), 0777) == 0);
    const struct {
        const char *dir, *name;
    } ways[] = {
        {in(&s, "no/such/parent"), "a"}, {in(&s, "file"), "a"},  {s.dir, "folder"},
        {NULL, in(&s, "nowhere/a")},     {NULL, "/dev/full"},    {NULL, ""},
        {NULL, in(&s, "file/a")},        {s.dir, "no/folder/a"},
    };
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++) {
        struct diags *d = diags_new();
        struct output_set *set = output_set_new(s.arena, ways[i].dir);
        cr_assert_null(output_open(set, ways[i].name, d), "way %zu", i);
        cr_assert(diag_find(d, 0, 0, "cannot-write") != NULL, "way %zu: %s", i, diags_words(d));
        output_abandon(set);
        diags_free(d);
    }
    expect_text(in(&s, "file"), "a file");
    cr_assert(entries(s.dir) == 2, "%d entries", entries(s.dir));
    scratch_free(&s);
}

Test(output, no_permission)
{
    struct scratch s = scratch_new();
    cr_assert(mkdir(in(&s, "shut"), 0555) == 0);
    put(in(&s, "read-only"), "old");
    cr_assert(chmod(in(&s, "read-only"), 0444) == 0);
    cr_assert(chmod(s.dir, 0777) == 0);
    if (geteuid() == 0) /* the root may do anything: be somebody else */
        cr_assert(setresuid(65534, 65534, 0) == 0);
    const char *names[] = {in(&s, "shut/a"), in(&s, "read-only")};
    for (size_t i = 0; i < 2; i++) {
        struct diags *d = diags_new();
        struct output_set *set = output_set_new(s.arena, NULL);
        cr_assert_null(output_open(set, names[i], d), "%s", names[i]);
        cr_assert(strstr(diags_words(d), "Permission denied") != NULL, "%s", diags_words(d));
        diags_free(d);
    }
    expect_text(in(&s, "read-only"), "old");
    if (getuid() == 65534)
        cr_assert(setresuid(0, 0, 0) == 0);
    scratch_free(&s);
}

/* A disk that fills up while writing, as a limit on the size of files. */
Test(output, disk_full_leaves_the_old_file)
{
    struct scratch s = scratch_new();
    put(in(&s, "a"), "old a");
    put(in(&s, "b"), "old b");
    signal(SIGXFSZ, SIG_IGN);
    struct rlimit limit, small;
    cr_assert(getrlimit(RLIMIT_FSIZE, &limit) == 0);
    small = limit;
    small.rlim_cur = 10000;
    cr_assert(setrlimit(RLIMIT_FSIZE, &small) == 0);
    struct output_set *set = output_set_new(s.arena, s.dir);
    fputs("new a", output_open(set, "a", s.diags)); /* this one fits */
    FILE *b = output_open(set, "b", s.diags);
    for (int i = 0; i < 20000; i++)
        fputs("more", b);
    hr_status status = output_commit(set, s.diags);
    cr_assert(setrlimit(RLIMIT_FSIZE, &limit) == 0);
    cr_assert(status == HR_IO);
    const struct diag *d = diag_find(s.diags, 0, 0, "cannot-write");
    cr_assert(d && strcmp(d->file, in(&s, "b")) == 0, "%s", diags_words(s.diags));
    expect_text(in(&s, "a"), "old a");
    expect_text(in(&s, "b"), "old b");
    cr_assert(entries(s.dir) == 2, "no temporary file is left");
    scratch_free(&s);
}

/* Removes the temporary file with that text; somebody tidies up while we write. */
static void steal(struct scratch *s, const char *text)
{
    DIR *d = opendir(s->dir);
    for (struct dirent *e = readdir(d); e; e = readdir(d)) {
        char buf[64] = "";
        if (strncmp(e->d_name, ".hillrow-", 9) != 0)
            continue;
        FILE *f = fopen(in(s, e->d_name), "r");
        cr_assert_not_null(f);
        if (fgets(buf, sizeof buf, f) && strcmp(buf, text) == 0)
            unlink(in(s, e->d_name));
        fclose(f);
    }
    closedir(d);
}

Test(output, failed_rename_takes_the_others_back)
{
    struct scratch s = scratch_new();
    put(in(&s, "a"), "old a");
    put(in(&s, "c"), "old c");
    struct output_set *set = output_set_new(s.arena, s.dir);
    fputs("new a", output_open(set, "a", s.diags));
    fputs("new b", output_open(set, "b", s.diags)); /* was not there before */
    FILE *c = output_open(set, "c", s.diags);
    fputs("new c", c);
    fflush(c);
    steal(&s, "new c");
    cr_assert(output_commit(set, s.diags) == HR_IO);
    const struct diag *d = diag_find(s.diags, 0, 0, "cannot-write");
    cr_assert(d && strcmp(d->file, in(&s, "c")) == 0, "%s", diags_words(s.diags));
    expect_text(in(&s, "a"), "old a");
    expect_text(in(&s, "c"), "old c");
    cr_assert(entries(s.dir) == 2, "%d: b is gone again, and so are the temporary files",
              entries(s.dir));
    scratch_free(&s);
}

Test(output, out_of_memory_leaves_nothing)
{
    struct scratch s = scratch_new();
    for (size_t cap = 64; cap < 4096; cap += 64) {
        struct arena *tight = arena_new(cap);
        struct output_set *set = output_set_new(tight, s.dir);
        if (set) {
            if (output_open(set, "a", s.diags) && output_open(set, "b", s.diags)) {
                output_abandon(set);
                arena_free(tight);
                break;
            }
            output_abandon(set);
        }
        arena_free(tight);
        cr_assert(cap + 64 < 4096, "never enough memory");
        cr_assert(entries(s.dir) == 0, "cap %zu", cap);
    }
    cr_assert(entries(s.dir) == 0);
    scratch_free(&s);
}

/* What an earlier run left goes with the commit, if it is of this program; else nothing is touched.
 */
Test(output, surplus_goes_with_the_others_or_stays)
{
    struct scratch s = scratch_new();
    for (int round = 0; round < 2; round++) {
        put(in(&s, "old-2"), "head MARK tail");
        put(in(&s, "old-3"), "somebody else's");
        struct output_set *set = output_set_new(s.arena, s.dir);
        FILE *file = output_open(set, "new", s.diags);
        cr_assert_not_null(file);
        fputs("text", file);
        CALL(output_retire(set, "old-2", "MARK", 4, s.diags));
        CALL(output_retire(set, "old-3", "MARK", 4, s.diags));
        CALL(output_retire(set, "old-4", "MARK", 4, s.diags));
        cr_assert(access(in(&s, "old-2"), F_OK) == 0, "not before the commit");
        if (round == 0)
            output_abandon(set);
        else
            CALL(output_commit(set, s.diags));
        cr_assert((access(in(&s, "old-2"), F_OK) == 0) == (round == 0), "round %d: old-2", round);
        cr_assert(access(in(&s, "old-3"), F_OK) == 0, "another's file stays");
        cr_assert((access(in(&s, "new"), F_OK) == 0) == (round == 1), "round %d: new", round);
    }
    cr_assert(entries(s.dir) == 2, "no temporary file is left: %d", entries(s.dir));
    scratch_free(&s);
}
