#include <ctype.h>
#include <string.h>

#include "lipwalk/ui/key.h"
#include "lw_test.h"

Test(key, no_key_means_two_things_and_each_says_what_it_does)
{
    size_t n;
    const struct lw_key *keys = lw_keys(&n);

    const struct lw_key *said = keys; /* the row that says it */

    for (size_t i = 0; i < n; i++) {
        said = keys[i].help ? &keys[i] : said;
        cr_expect(strlen(said->help) > 2 && strstr(said->name, keys[i].name), "key %s says nothing",
                  keys[i].name);
        cr_expect(keys[i].name && keys[i].name[0]);
        cr_expect(keys[i].code > 127 || !isupper(keys[i].code));
        cr_expect_eq(lw_key_find(keys[i].code), &keys[i]);
        for (size_t j = 0; j < i; j++)
            cr_expect_neq(keys[i].code, keys[j].code, "%s is bound twice", keys[i].name);
    }
}

Test(key, every_action_of_a_key_is_bound)
{
    size_t n;
    const struct lw_key *keys = lw_keys(&n);

    for (int action = LW_ACT_MARK; action <= LW_ACT_QUIT; action++) {
        bool bound = false;

        for (size_t i = 0; i < n; i++)
            bound = bound || keys[i].action == (enum lw_action)action;
        cr_expect(bound, "action %d has no key", action);
    }
}

Test(key, each_angler_has_every_mark_once)
{
    size_t n;
    const struct lw_key *keys = lw_keys(&n);

    for (int who = 0; who < 2; who++)
        for (int kind = 0; kind < LW_MARK_KINDS; kind++) {
            int times = 0;

            for (size_t i = 0; i < n; i++)
                times += keys[i].action == LW_ACT_MARK && keys[i].who == who &&
                         (int)keys[i].kind == kind;
            cr_expect_eq(times, 1, "kind %d of %d is bound %d times", kind, who, times);
        }
}

/* Columns of a keyboard of the US layout, from the outside of each hand to the inside. */
Test(key, the_same_finger_means_the_same_on_both_hands)
{
    static const char *const left[] = {"asdf", "zxcv"};
    static const char *const right[] = {";lkj", "/.,m"};

    for (int r = 0; r < 2; r++)
        for (int finger = 0; finger < 4; finger++) {
            const struct lw_key *l = lw_key_find(left[r][finger]);
            const struct lw_key *rt = lw_key_find(right[r][finger]);

            cr_assert(l && rt);
            cr_expect_eq(l->kind, rt->kind);
            cr_expect_eq(l->who, 0);
            cr_expect_eq(rt->who, 1);
        }
    cr_expect_eq(lw_key_find('f')->kind, LW_MARK_BITE);
    cr_expect_eq(lw_key_find('k')->kind, LW_MARK_FISH);
}

Test(key, caps_lock_and_shift_change_no_mark_but_question_is_help)
{
    cr_expect_eq(lw_key_find('F'), lw_key_find('f'));
    cr_expect_eq(lw_key_find('Q'), lw_key_find('q'));
    cr_expect_eq(lw_key_find(':'), lw_key_find(';'));
    cr_expect_eq(lw_key_find('<'), lw_key_find(','));
    cr_expect_eq(lw_key_find('>'), lw_key_find('.'));
    cr_expect_eq(lw_key_find('?')->action, LW_ACT_HELP);
    cr_expect_eq(lw_key_find('/')->kind, LW_MARK_NOTE);
    cr_expect_null(lw_key_find('r'));
    cr_expect_null(lw_key_find(-1));
    cr_expect_null(lw_key_find(LW_KEY_RESIZE));
}
