#include "lipwalk/base/error.h"

#include <stdarg.h>
#include <stdio.h>

#include "lipwalk/base/text.h"

int lw_fail(struct lw_error *err, const char *format, ...)
{
    /* err->text may itself be an argument ("%s: %s"), so the sentence is put together elsewhere. */
    char sentence[sizeof err->text];
    va_list args;

    if (!err)
        return -1;
    va_start(args, format);
    if (vsnprintf(sentence, sizeof sentence, format, args) < 0)
        lw_text_copy(sentence, sizeof sentence, format);
    va_end(args);
    lw_text_clean(err->text, sizeof err->text, sentence);
    return -1;
}
