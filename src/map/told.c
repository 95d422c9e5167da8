#include "told.h"

#include <math.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <string.h>
#include <sys/mman.h>

#define TRIES 1000

/* The steps of an import. A listener may keep the words, so they cannot lie in the page, which goes
 * when the import ends; and what a child with a hostile map in it says is foreign. */
static const char *const steps[] = {"reading the map", "depth surface", "the lake's parts",
                                    "saving"};

/* A lock that nobody waits long for: a child may be killed while it holds it. */
struct lw_told {
    atomic_flag busy;
    double part;
    size_t step;
};

static bool enter(struct lw_told *told)
{
    for (int i = 0; i < TRIES; i++)
        if (!atomic_flag_test_and_set_explicit(&told->busy, memory_order_acquire))
            return true;
    return false;
}

static void leave(struct lw_told *told)
{
    atomic_flag_clear_explicit(&told->busy, memory_order_release);
}

static size_t number_of(const char *step)
{
    for (size_t i = 0; i < sizeof steps / sizeof *steps; i++)
        if (strcmp(steps[i], step) == 0)
            return i;
    return 0;
}

static void note(void *context, double part, const char *step)
{
    struct lw_told *told = context;

    if (!enter(told))
        return;
    told->part = part;
    told->step = number_of(step);
    leave(told);
}

struct lw_told *lw_told_new(void)
{
    void *page = mmap(NULL, sizeof(struct lw_told), PROT_READ | PROT_WRITE,
                      MAP_SHARED | MAP_ANONYMOUS, -1, 0);

    if (page == MAP_FAILED)
        return NULL;
    leave(page); /* the rest is zero: nothing read yet */
    return page;
}

void lw_told_free(struct lw_told *told)
{
    if (told)
        munmap(told, sizeof *told);
}

struct lw_progress lw_told_progress(struct lw_told *told)
{
    return (struct lw_progress){note, told};
}

void lw_told_pass_on(struct lw_told *told, const struct lw_progress *to)
{
    size_t step;
    double part;

    if (!enter(told))
        return;
    step = told->step;
    part = told->part;
    leave(told);
    if (!isnan(part) && step < sizeof steps / sizeof *steps)
        lw_progress_tell(to, fmin(fmax(part, 0), 1), steps[step]);
}
