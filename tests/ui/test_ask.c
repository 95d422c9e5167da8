/* Keys through question, screen and table. */
#include <locale.h>

#include "day.h"

static struct day day;

static void setup(void)
{
    setlocale(LC_CTYPE, "C.UTF-8");
    day_busy(&day, false);
}

static void teardown(void)
{
    day_end(&day);
}

TestSuite(ask, .init = setup, .fini = teardown);

static enum lw_action press(int code)
{
    return lw_ui_key(&day.view, &day.ui, code).action;
}

static void ask(enum lw_ask_kind kind)
{
    day.ui.ask = (struct lw_ask){.kind = kind, .about = LW_ACT_QUIT};
    strcpy(day.ui.ask.sentence, "Leave? y yes, n no");
}

Test(ask, yes_and_no)
{
    static const struct {
        int code;
        bool yes;
    } answers[] = {{'y', true},  {'Y', true},  {LW_KEY_ENTER, true},
                   {'n', false}, {'N', false}, {LW_KEY_ESC, false}};

    for (size_t i = 0; i < sizeof answers / sizeof answers[0]; i++) {
        ask(LW_ASK_YES_NO);
        cr_expect_eq(press(answers[i].code), LW_ACT_ANSWER);
        cr_expect_eq(day.ui.ask.yes, answers[i].yes);
        cr_expect_eq(day.ui.ask.about, LW_ACT_QUIT, "the question is left for the app to act on");
    }
}

Test(ask, marks_and_the_emergency_key_go_on_working)
{
    struct lw_act act;

    ask(LW_ASK_YES_NO);
    act = lw_ui_key(&day.view, &day.ui, 'F');
    cr_expect_eq(act.action, LW_ACT_MARK);
    cr_assert(act.key);
    cr_expect_eq(act.key->kind, LW_MARK_BITE);
    cr_expect_eq(act.key->who, 0);
    cr_expect_eq(press('0'), LW_ACT_EMERGENCY);
    cr_expect_eq(press(' '), LW_ACT_CAST, "a cast that is made is counted");
    cr_expect_eq(press(LW_KEY_TAB), LW_ACT_NONE);
    cr_expect_eq(day.ui.screen, LW_SCREEN_STRIP);
    cr_expect_eq(day.ui.ask.kind, LW_ASK_YES_NO, "it stays open");
    cr_expect_eq(press(LW_KEY_RESIZE), LW_ACT_REDRAW);
}

Test(ask, text_takes_letters_of_any_script_and_takes_them_back_whole)
{
    ask(LW_ASK_TEXT);
    cr_expect_eq(press('f'), LW_ACT_NONE, "a letter, not a bite");
    press(0xe9);    /* e acute */
    press(0x1f41f); /* beyond 16 bits */
    cr_expect_str_eq(day.ui.ask.text, "f\xc3\xa9\xf0\x9f\x90\x9f");
    press(LW_KEY_BACKSPACE);
    press(LW_KEY_BACKSPACE);
    cr_expect_str_eq(day.ui.ask.text, "f");
    press(LW_KEY_BACKSPACE);
    press(LW_KEY_BACKSPACE);
    cr_expect_str_eq(day.ui.ask.text, "");
    press(7); /* BEL */
    press(0x9b);
    press(LW_KEY_UP);
    cr_expect_str_eq(day.ui.ask.text, "", "only what can be seen");
    cr_expect_eq(press('0'), LW_ACT_EMERGENCY, "while nothing is typed");
    cr_expect_eq(day.ui.ask.kind, LW_ASK_TEXT);
    press('1');
    press('0');
    cr_expect_str_eq(day.ui.ask.text, "10");
    cr_expect_eq(press(LW_KEY_ENTER), LW_ACT_ANSWER);
    cr_expect(day.ui.ask.yes);
    cr_expect_eq(press(LW_KEY_ESC), LW_ACT_ANSWER);
    cr_expect_not(day.ui.ask.yes);
}

Test(ask, text_never_overflows)
{
    ask(LW_ASK_TEXT);
    for (int i = 0; i < 1000; i++)
        press(0x6f22);
    cr_expect_lt(strlen(day.ui.ask.text), sizeof day.ui.ask.text);
    cr_expect_eq(strlen(day.ui.ask.text) % 3, 0, "no half of a character");
}

Test(ask, tab_goes_around_and_help_comes_back)
{
    cr_expect_eq(press(LW_KEY_TAB), LW_ACT_NEXT_SCREEN);
    cr_expect_eq(day.ui.screen, LW_SCREEN_FAR);
    press(LW_KEY_TAB);
    cr_expect_eq(day.ui.screen, LW_SCREEN_PLACES);
    press('?');
    cr_expect_eq(day.ui.screen, LW_SCREEN_HELP);
    cr_expect_eq(press('J'), LW_ACT_MARK, "marks work on every screen");
    press('?');
    cr_expect_eq(day.ui.screen, LW_SCREEN_PLACES);
    press(LW_KEY_TAB);
    cr_expect_eq(day.ui.screen, LW_SCREEN_STRIP);
    press('?');
    press(LW_KEY_ESC);
    cr_expect_eq(day.ui.screen, LW_SCREEN_STRIP);
    press('e');
    cr_expect_str_eq(day.ui.depth_text, "", "each time a fresh field");
}

Test(ask, places_choose_a_return)
{
    day.ui.screen = LW_SCREEN_PLACES;
    cr_assert_eq(day.now.returns, 2);
    press(LW_KEY_UP);
    cr_expect_eq(day.ui.return_chosen, 0);
    press(LW_KEY_DOWN);
    press(LW_KEY_DOWN);
    cr_expect_eq(day.ui.return_chosen, 1, "there are two");
    cr_expect_eq(press('2'), LW_ACT_RETURN_SNOOZE);
    press(LW_KEY_TAB);
    cr_expect_eq(day.ui.return_chosen, 0, "elsewhere the first is shown");
}

Test(ask, edge_screen_reads_a_depth_and_settles_on_a_beat)
{
    struct lw_beat beats[3] = {{.length_m = 420}, {.length_m = 300}, {.length_m = 90}};

    cr_expect_eq(press('e'), LW_ACT_NONE, "nothing to look for yet");
    cr_expect_eq(day.ui.screen, LW_SCREEN_EDGE);
    cr_expect_eq(press('0'), LW_ACT_EMERGENCY, "no depth begins with 0");
    cr_expect_eq(press(LW_KEY_ENTER), LW_ACT_NONE);
    press('1');
    press('0');
    press('5');
    press(LW_KEY_BACKSPACE);
    cr_expect_str_eq(day.ui.depth_text, "10");
    press('f');
    press('t');
    cr_expect_str_eq(day.ui.depth_text, "10ft", "after a figure a unit, not a bite");
    cr_expect_eq(press('d'), LW_ACT_MARK, "what is no unit is a mark");
    cr_expect_eq(press(LW_KEY_ENTER), LW_ACT_EDGE);
    cr_expect_eq(day.ui.edge_field, LW_EDGE_DEPTH, "until there is a list to go to");
    /* a depth that has no edge is corrected where it stands; no mark is taken back for it */
    for (int i = 0; i < 6; i++)
        cr_expect_eq(press(LW_KEY_BACKSPACE), LW_ACT_NONE);
    cr_expect_str_eq(day.ui.depth_text, "");
    cr_expect_eq(press('f'), LW_ACT_MARK, "a unit needs a figure");
    press('9');
    cr_expect_eq(press(LW_KEY_ENTER), LW_ACT_EDGE);
    day.view.beat = beats;
    day.view.beats = 3;
    day.ui.edge_field = LW_EDGE_LIST; /* as the app does when the list is there */
    cr_expect_eq(press(LW_KEY_BACKSPACE), LW_ACT_NONE);
    cr_expect_eq(press('9'), LW_ACT_NONE, "no such row, and no return either");
    cr_expect_eq(press('0'), LW_ACT_EMERGENCY);
    press('2');
    cr_expect_eq(day.ui.beat_chosen, 1);
    press(LW_KEY_DOWN);
    press(LW_KEY_DOWN);
    cr_expect_eq(day.ui.beat_chosen, 2);
    press(LW_KEY_UP);
    cr_expect_eq(press(LW_KEY_ENTER), LW_ACT_BEAT);
    cr_expect_eq(day.ui.beat_chosen, 1);
    cr_expect(isnan(day.ui.from_m) && isnan(day.ui.to_m), "whole");
    /* ends, in feet */
    press(LW_KEY_RIGHT);
    press('0');
    cr_expect_eq(press(LW_KEY_ENTER), LW_ACT_NONE);
    press('6');
    press('0');
    press('0');
    cr_expect_eq(press(LW_KEY_ENTER), LW_ACT_BEAT);
    cr_expect_float_eq(day.ui.from_m, 0, 1e-9);
    cr_expect_float_eq(day.ui.to_m, 182.88, 1e-9); /* 600 ft of 0.3048 m */
    /* one end alone: the other is the edge's own */
    press(LW_KEY_BACKSPACE);
    press(LW_KEY_BACKSPACE);
    press(LW_KEY_BACKSPACE);
    cr_expect_eq(press(LW_KEY_ENTER), LW_ACT_BEAT);
    cr_expect_float_eq(day.ui.to_m, 300, 1e-9);
    press(LW_KEY_ESC);
    cr_expect_eq(day.ui.screen, LW_SCREEN_STRIP);
}

Test(ask, ends_typed_the_wrong_way_about)
{
    struct lw_beat beats[2] = {{.length_m = 420, .closed = true}, {.length_m = 300}};

    strcpy(day.conf.text[LW_SET_UNITS], "metric");
    day.view.beat = beats;
    day.view.beats = 2;
    day.ui.screen = LW_SCREEN_EDGE;
    day.ui.edge_field = 3;
    strcpy(day.ui.end_text[0], "250");
    strcpy(day.ui.end_text[1], "100");
    cr_expect_eq(press(LW_KEY_ENTER), LW_ACT_BEAT);
    cr_expect_float_eq(day.ui.from_m, 250, 1e-9);
    cr_expect_float_eq(day.ui.to_m, 520, 1e-9); /* a ring: on through its start */
    day.ui.beat_chosen = 1;
    press(LW_KEY_ENTER);
    cr_expect_float_eq(day.ui.from_m, 100, 1e-9);
    cr_expect_float_eq(day.ui.to_m, 250, 1e-9);
}

Test(ask, emergency_keeps_its_screen_but_takes_marks)
{
    day.view.frozen = true;
    cr_expect_eq(press(LW_KEY_TAB), LW_ACT_NONE);
    cr_expect_eq(press('?'), LW_ACT_NONE);
    cr_expect_eq(press('e'), LW_ACT_NONE);
    cr_expect_eq(day.ui.screen, LW_SCREEN_STRIP);
    cr_expect_eq(press('d'), LW_ACT_MARK);
    cr_expect_eq(press('0'), LW_ACT_EMERGENCY);
}

/* "16 ft,, confirmed" stood there at 40 columns. */
Test(ask, words_cut_for_their_state_are_cut_at_no_comma)
{
    char *text;

    strcpy(day.view.last_words, "18:24:18 bite, angler, 16 ft, position 3 s old");
    day.view.last_mono_ms = day.view.mono_ms;
    text = day_draw(&day, 40, 12);
    cr_expect_neq(strstr(text, "18:24:18 bite, angler, 16 ft, confirmed"), NULL, "%s", text);
    free(text);
}
