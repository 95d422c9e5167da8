/* Looking at a screen of a busy day: what stands on it as text and in big letters. One day each
 * test file; its setup and teardown belong to the suite. */
#ifndef LIPWALK_TESTS_UI_LOOK_H
#define LIPWALK_TESTS_UI_LOOK_H

#include <locale.h>

#include "day.h"

static struct day day;

static inline void setup(void)
{
    setlocale(LC_CTYPE, "C.UTF-8");
    day_busy(&day, true);
}

static inline void teardown(void)
{
    day_end(&day);
}

static inline bool shows(const char *text, const char *words)
{
    return strstr(text, words) != NULL;
}

static inline void expect(int w, int h, const char *words)
{
    char *text = day_draw(&day, w, h);

    cr_expect(shows(text, words), "'%s' is not on the screen:\n%s", words, text);
    free(text);
}

static inline void expect_not(int w, int h, const char *words)
{
    char *text = day_draw(&day, w, h);

    cr_expect_not(shows(text, words), "'%s' is on the screen:\n%s", words, text);
    free(text);
}

/* The rows of big letters, as they are made. */
static inline bool shows_big(int scale, const char *words)
{
    struct lw_canvas big = {0};
    int w = lw_canvas_big(NULL, 0, 0, LW_ROLE_TEXT, scale, words);
    bool found = false;

    cr_assert_eq(lw_canvas_size(&big, w, 5 * scale), 0);
    lw_canvas_big(&big, 0, 0, LW_ROLE_TEXT, scale, words);
    for (int y = 0; y + big.h <= day.canvas.h && !found; y++)
        for (int x = 0; x + big.w <= day.canvas.w && !found; x++) {
            bool same = true;

            for (int i = 0; i < big.w * big.h && same; i++)
                same = big.cell[i].ch ==
                       day.canvas.cell[(y + i / big.w) * day.canvas.w + x + i % big.w].ch;
            found = same;
        }
    lw_canvas_free(&big);
    return found;
}

static inline bool shows_big_at(int w, int h, const char *words)
{
    free(day_draw(&day, w, h));
    return shows_big(1, words) || shows_big(2, words) || shows_big(3, words);
}

#endif
