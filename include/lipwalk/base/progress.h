/* Telling how far a long piece of work has come. */
#ifndef LIPWALK_BASE_PROGRESS_H
#define LIPWALK_BASE_PROGRESS_H

struct lw_progress {
    void (*tell)(void *context, double part, const char *step); /* NULL: nobody listens */
    void *context;
};
/* part: 0 to 1 of the whole; step: a few words that outlive the call ("depth surface"). `progress`
 * may be NULL. Cheap enough to be called for each row of a grid. */
static inline void lw_progress_tell(const struct lw_progress *progress, double part,
                                    const char *step)
{
    if (progress && progress->tell)
        progress->tell(progress->context, part, step);
}

#endif
