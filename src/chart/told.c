#include "told.h"

#include <math.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <string.h>
#include <sys/mman.h>

#include "lipwalk/base/text.h"

#define TRIES 1000

/* A lock that nobody waits long for: a child may be killed while it holds it. */
struct lw_told {
    atomic_flag busy;
    bool news;
    double part;
    char step[64];
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

struct lw_told *lw_told_new(void)
{
    void *page = mmap(NULL, sizeof(struct lw_told), PROT_READ | PROT_WRITE,
                      MAP_SHARED | MAP_ANONYMOUS, -1, 0);

    return page == MAP_FAILED ? NULL : page; /* all zero: not busy, no news */
}

void lw_told_free(struct lw_told *told)
{
    if (told)
        munmap(told, sizeof *told);
}

static void note(void *context, double part, const char *step)
{
    struct lw_told *told = context;

    if (!enter(told))
        return;
    told->part = part;
    lw_text_copy(told->step, sizeof told->step, step);
    told->news = true;
    leave(told);
}

struct lw_progress lw_told_progress(struct lw_told *told)
{
    return (struct lw_progress){note, told};
}

void lw_told_pass_on(struct lw_told *told, const struct lw_progress *to)
{
    char step[sizeof told->step], clean[sizeof told->step];
    bool news;
    double part;

    if (!enter(told))
        return;
    news = told->news;
    told->news = false;
    part = told->part;
    memcpy(step, told->step, sizeof step);
    leave(told);
    step[sizeof step - 1] = '\0'; /* the child may hold a hostile map: what it says is foreign */
    lw_text_clean(clean, sizeof clean, step);
    if (news && !isnan(part))
        lw_progress_tell(to, fmin(fmax(part, 0), 1), clean);
}
