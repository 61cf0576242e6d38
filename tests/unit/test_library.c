/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

#include "crop.h"

struct read {
    struct arena *arena;
    struct diags *diags;
    struct library *library;
    hr_status status;
};

static struct read read_dir(const char *dir)
{
    struct read r = {.arena = arena_new(ARENA_CAP_DEFAULT), .diags = diags_new()};
    r.status = library_read(r.arena, dir, r.diags, &r.library);
    return r;
}

static void read_free(struct read *r)
{
    arena_free(r->arena);
    diags_free(r->diags);
}

Test(library, ours_reads_clean)
{
    struct read r = read_dir("crops");
    cr_assert(r.status == HR_OK, "%s", diags_words(r.diags));
    cr_assert(diags_count(r.diags) == 0, "%s", diags_words(r.diags));
    cr_assert(r.library->ncrops >= 16, "%zu crops", r.library->ncrops);
    cr_assert(r.library->nguilds >= 3, "%zu guilds", r.library->nguilds);
    for (size_t i = 1; i < r.library->ncrops; i++)
        cr_expect(strcmp(r.library->crops[i - 1].name.s, r.library->crops[i].name.s) < 0, "sorted");
    read_free(&r);
}

Test(library, names_are_found_as_people_write_them)
{
    struct read r = read_dir("crops");
    cr_assert(r.status == HR_OK);
    const struct crop *corn = library_crop(r.library, "flint corn");
    cr_assert(corn != NULL);
    cr_assert(library_crop(r.library, "Flint-Corn") == corn, "case and hyphen do not matter");
    cr_assert(library_crop(r.library, "flint") == NULL);
    cr_assert_str_eq(library_near_crop(r.library, "flint cron"), "flint corn");
    cr_assert(library_near_crop(r.library, "rutabaga") == NULL);
    cr_assert(library_guild(r.library, "Corn, bean and squash") != NULL);
    cr_assert(library_guild(r.library, "corn") == NULL);
    cr_assert_str_eq(library_near_guild(r.library, "corn and beans"), "corn and bean");
    read_free(&r);
}

/* Guild members name crops of the library by the library's own text, so that strcmp will do. */
Test(library, guild_members_are_spelt_as_in_the_library)
{
    struct read r = read_dir("crops");
    cr_assert(r.status == HR_OK);
    for (size_t i = 0; i < r.library->nguilds; i++) {
        const struct guild *guild = &r.library->guilds[i];
        const struct guild_member *members = guild->members.items;
        cr_expect(guild->members.n >= 2 && members[0].role.v == ROLE_SUPPORT, "%s", guild->name.s);
        for (size_t k = 0; k < guild->members.n; k++) {
            const struct text *names = members[k].crops.items;
            for (size_t c = 0; c < members[k].crops.n; c++)
                cr_expect(library_crop(r.library, names[c].s)->name.s == names[c].s, "%s: %s",
                          guild->name.s, names[c].s);
        }
    }
    read_free(&r);
}

/* Amaranth starts slowly: the legume of its guild comes weeks later (growers' report). */
Test(library, amaranth_goes_in_weeks_before_its_legume)
{
    struct read r = read_dir("crops");
    cr_assert(r.status == HR_OK);
    const struct guild *guild = library_guild(r.library, "amaranth, bean and squash");
    cr_assert(guild != NULL);
    const struct guild_member *members = guild->members.items;
    cr_assert(members[0].delay_d.typ == 0 && members[1].delay_d.low >= 21);
    read_free(&r);
}

Test(library, a_folder_that_is_not_there)
{
    struct read r = read_dir("tests/no-such-folder");
    cr_assert(r.status == HR_IO && r.library == NULL);
    expect_diag(r.diags, 0, 0, "cannot-read");
    read_free(&r);
    r = read_dir("Makefile");
    cr_assert(r.status == HR_IO);
    read_free(&r);
}

static void file_write(const char *dir, const char *name, const char *text)
{
    char path[256];
    snprintf(path, sizeof path, "%s/%s", dir, name);
    FILE *f = fopen(path, "w");
    cr_assert(f != NULL);
    fputs(text, f);
    cr_assert(fclose(f) == 0);
}

static void file_remove(const char *dir, const char *name)
{
    char path[256];
    snprintf(path, sizeof path, "%s/%s", dir, name);
    cr_assert(remove(path) == 0, "%s", path);
}

Test(library, a_folder_without_crops_and_sources)
{
    char dir[] = "/tmp/hillrow-test-XXXXXX";
    cr_assert(mkdtemp(dir) != NULL);
    file_write(dir, "notes.txt", "crop: not read\n");
    file_write(dir, ".hidden.yaml", "crop: not read\n");
    struct read r = read_dir(dir);
    cr_assert(r.status == HR_IO, "status %d", (int)r.status);
    expect_diag(r.diags, 0, 0, "no-crops");
    expect_diag(r.diags, 0, 0, "cannot-read"); /* sources.bib */
    read_free(&r);
    file_write(dir, "sources.bib", "");
    r = read_dir(dir);
    cr_assert(r.status == HR_INPUT);
    cr_assert(diags_errors(r.diags) == 1, "%s", diags_words(r.diags));
    expect_diag(r.diags, 0, 0, "no-crops");
    read_free(&r);
    file_remove(dir, "notes.txt");
    file_remove(dir, ".hidden.yaml");
    file_remove(dir, "sources.bib");
    cr_assert(rmdir(dir) == 0);
}

Test(library, every_fault_of_every_file_is_reported)
{
    char dir[] = "/tmp/hillrow-test-XXXXXX", sub[64];
    cr_assert(mkdtemp(dir) != NULL);
    file_write(dir, "a.yaml", "crop: a\nletter: A\n");
    file_write(dir, "b.yaml", "- not a map\n");
    file_write(dir, "c.yaml", "crop: [\n");
    file_write(dir, "sources.bib", "@misc{x}\n");
    snprintf(sub, sizeof sub, "%s/d.yaml", dir);
    cr_assert(mkdir(sub, 0700) == 0);
    struct read r = read_dir(dir);
    cr_assert(r.status == HR_IO, "a folder in place of a file is the worst of them");
    expect_diag(r.diags, 1, 1, "missing-key");
    expect_diag(r.diags, 1, 1, "crop-or-guild");
    expect_diag(r.diags, 0, 0, "yaml-syntax");
    expect_diag(r.diags, 0, 0, "not-a-file");
    expect_diag(r.diags, 1, 7, "missing-key");
    read_free(&r);
    cr_assert(rmdir(sub) == 0);
    static const char *const names[] = {"a.yaml", "b.yaml", "c.yaml", "sources.bib"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        file_remove(dir, names[i]);
    cr_assert(rmdir(dir) == 0);
}

Test(library, any_amount_of_memory_will_do)
{
    hr_status status = HR_NOMEM;
    size_t tries = 0;
    for (size_t cap = 1; status == HR_NOMEM; cap += cap / 7 + 1, tries++) {
        struct arena *arena = arena_new(cap);
        struct diags *diags = diags_new();
        struct library *library = NULL;
        cr_assert(arena != NULL && diags != NULL);
        status = library_read(arena, "crops", diags, &library);
        cr_assert(status == HR_OK || status == HR_NOMEM, "cap %zu: status %d\n%s", cap, (int)status,
                  diags_words(diags));
        cr_assert((status == HR_OK) == (library != NULL), "cap %zu", cap);
        arena_free(arena);
        diags_free(diags);
    }
    cr_assert(status == HR_OK && tries > 20, "%zu tries", tries);
}
