#include <locale.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/ui/canvas.h"
#include "lw_test.h"

static struct lw_canvas canvas;

static void setup(void)
{
    setlocale(LC_CTYPE, "C.UTF-8");
    memset(&canvas, 0, sizeof canvas);
    cr_assert_eq(lw_canvas_size(&canvas, 20, 3), 0);
}

static void teardown(void)
{
    lw_canvas_free(&canvas);
}

TestSuite(canvas, .init = setup, .fini = teardown);

static const char *row(int y)
{
    static char text[256];

    lw_canvas_row(&canvas, y, text, sizeof text);
    return text;
}

Test(canvas, text_is_cut_at_all_sides)
{
    cr_expect_eq(lw_canvas_text(&canvas, 16, 0, LW_ROLE_TEXT, "abcdefgh"), 20);
    cr_expect_str_eq(row(0), "                abcd");
    lw_canvas_text(&canvas, -2, 1, LW_ROLE_TEXT, "abcd");
    cr_expect_str_eq(row(1), "cd");
    lw_canvas_text(&canvas, 0, -1, LW_ROLE_TEXT, "above");
    lw_canvas_text(&canvas, 0, 3, LW_ROLE_TEXT, "below");
    cr_expect_str_eq(row(2), "");
}

Test(canvas, what_steers_a_terminal_becomes_a_question_mark)
{
    /* ESC [ 2 J, BEL, C1 CSI, right-to-left override, a cut and an overlong sequence */
    lw_canvas_text(&canvas, 0, 0, LW_ROLE_TEXT,
                   "a\x1b[2J\ab\xc2\x9b"
                   "c\xe2\x80\xae"
                   "d\xe2\x82"
                   "e\xc0\xaf.");
    cr_expect_str_eq(row(0), "a?[2J?b?c?d??e??.");
}

Test(canvas, wide_characters_take_two_cells_and_never_half_a_cell)
{
    cr_expect_eq(lw_canvas_width("漢字"), 4);
    cr_expect_eq(lw_canvas_text(&canvas, 0, 0, LW_ROLE_TEXT, "漢x"), 3);
    cr_expect_str_eq(row(0), "漢x");
    lw_canvas_put(&canvas, 1, 0, LW_ROLE_TEXT, '|'); /* over its right half */
    cr_expect_str_eq(row(0), " |x");
    lw_canvas_text(&canvas, 19, 1, LW_ROLE_TEXT, "漢"); /* half of it would be outside */
    cr_expect_str_eq(row(1), "");
    lw_canvas_text(&canvas, 0, 2, LW_ROLE_TEXT, "e\xcc\x81!"); /* combining acute */
    cr_expect_str_eq(row(2), "e!");
}

Test(canvas, ascii_canvas_holds_only_printable_ascii)
{
    canvas.ascii = true;
    lw_canvas_text(&canvas, 0, 0, LW_ROLE_TEXT, "Grünsee ±7° ─═│▲○░");
    cr_expect_str_eq(row(0), "Grunsee ~7o -=|^+#");
    lw_canvas_text(&canvas, 0, 1, LW_ROLE_TEXT, "漢|"); /* keeps its columns */
    cr_expect_str_eq(row(1), "??|");
    lw_canvas_put(&canvas, 0, 2, LW_ROLE_TEXT, 0x2588);
    cr_expect_str_eq(row(2), "#");
    cr_expect(canvas.cell[2 * canvas.w].reverse, "a block is ink, not a sign");
}

Test(canvas, own_glyphs_do_not_need_a_locale)
{
    setlocale(LC_CTYPE, "C");
    cr_expect_eq(lw_canvas_text(&canvas, 0, 0, LW_ROLE_TEXT, "±7 ═▲○░█"), 8);
    cr_expect_str_eq(row(0), "±7 ═▲○░█");
}

Test(canvas, right_aligned_ends_before_its_end)
{
    cr_expect_eq(lw_canvas_right(&canvas, 20, 0, LW_ROLE_TEXT, "12:00"), 15);
    cr_expect_str_eq(row(0), "               12:00");
}

Test(canvas, tint_survives_what_is_drawn_over_it)
{
    lw_canvas_tint(&canvas, -5, 0, 10, LW_ROLE_DEEP);
    lw_canvas_text(&canvas, 0, 0, LW_ROLE_MARK, "bf");
    cr_expect_eq(canvas.cell[0].tint, LW_ROLE_DEEP);
    cr_expect_eq(canvas.cell[4].tint, LW_ROLE_DEEP);
    cr_expect_eq(canvas.cell[5].tint, LW_ROLE_TEXT);
    cr_expect_eq(canvas.cell[0].role, LW_ROLE_MARK);
}

Test(canvas, big_letters_are_five_rows_a_scale_and_as_wide_as_said)
{
    int w = lw_canvas_big(NULL, 0, 0, LW_ROLE_STRONG, 2, "38 OFF"), most = 0, lowest = 0;

    cr_assert_eq(lw_canvas_size(&canvas, 100, 30), 0);
    cr_expect_eq(lw_canvas_big(&canvas, 0, 0, LW_ROLE_STRONG, 2, "38 OFF"), w);
    for (int y = 0; y < 30; y++)
        for (int x = 0; x < 100; x++)
            if (canvas.cell[y * 100 + x].ch != ' ') {
                most = x + 1 > most ? x + 1 : most;
                lowest = y + 1 > lowest ? y + 1 : lowest;
            }
    cr_expect_eq(most, w);
    cr_expect_eq(lowest, 10);
    cr_expect_eq(lw_canvas_big(NULL, 0, 0, LW_ROLE_STRONG, 0, "38"), 0);
}

/* Nobody may take one figure for another, nor a letter that a sentence uses. */
Test(canvas, big_letters_differ)
{
    static const char all[] = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ.-+'%:";
    char *shape[sizeof all - 1];

    for (size_t i = 0; i < sizeof all - 1; i++) {
        char one[2] = {all[i], '\0'};

        cr_assert_eq(lw_canvas_size(&canvas, 8, 5), 0);
        lw_canvas_big(&canvas, 0, 0, LW_ROLE_STRONG, 1, one);
        shape[i] = lw_canvas_dump(&canvas);
        cr_expect_str_neq(shape[i], "\n\n\n\n\n", "%c is blank", all[i]);
        for (size_t j = 0; j < i; j++)
            cr_expect_str_neq(shape[i], shape[j], "%c is drawn as %c", all[i], all[j]);
    }
    for (size_t i = 0; i < sizeof all - 1; i++)
        free(shape[i]);
}

Test(canvas, dump_is_one_line_a_row_without_trailing_blanks)
{
    char *text;

    lw_canvas_text(&canvas, 1, 1, LW_ROLE_TEXT, "mid  ");
    text = lw_canvas_dump(&canvas);
    cr_expect_str_eq(text, "\n mid\n\n");
    free(text);
}
