#include "lipwalk/base/text.h"

#include <locale.h>
#include <math.h>

#include "lipwalk/base/error.h"
#include "lw_test.h"

Test(text, copy_cuts_between_characters)
{
    char to[6];

    cr_expect(lw_text_copy(to, sizeof to, "abcde"));
    cr_expect_str_eq(to, "abcde");
    cr_expect_not(lw_text_copy(to, sizeof to, "abcdef"));
    cr_expect_str_eq(to, "abcde");
    cr_expect_not(lw_text_copy(to, sizeof to, "abc\u20ac")); /* three bytes do not fit in two */
    cr_expect_str_eq(to, "abc");
    cr_expect(lw_text_copy(to, sizeof to, NULL));
    cr_expect_str_eq(to, "");
    cr_expect_not(lw_text_copy(to, 0, "a"));
}

Test(text, clean_leaves_nothing_that_steers)
{
    static const struct {
        const char *from, *wanted;
    } cases[] = {
        {"Tarn Pool", "Tarn Pool"},
        {"J\u00e4rvi \u20ac \U0001F41F", "J\u00e4rvi \u20ac \U0001F41F"},
        {"a\x1b[2Jb", "a?[2Jb"},
        {"a\nb\tc\x7f", "a?b?c?"},
        {"a\xc2\x9b"
         "b",
         "a?b"}, /* C1 CSI as UTF-8 */
        {"a\x9b"
         "b",
         "a?b"}, /* and as a bare byte */
        {"a\xe2\x80\xae"
         "b",
         "a?b"}, /* right-to-left override */
        {"a\xe2\x81\xa6"
         "b\xe2\x81\xa9",
         "a?b?"},                     /* isolates */
        {"\xc0\x9b", "??"},           /* overlong ESC */
        {"\xed\xa0\x80", "???"},      /* surrogate */
        {"\xf4\x90\x80\x80", "????"}, /* beyond U+10FFFF */
        {"ab\xe2\x82", "ab??"},       /* cut short */
    };

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char to[64];

        cr_expect(lw_text_clean(to, sizeof to, cases[i].from));
        cr_expect_str_eq(to, cases[i].wanted, "case %zu gives \"%s\"", i, to);
    }
}

Test(text, clean_of_random_bytes_is_clean)
{
    unsigned seed = 1;

    for (int k = 0; k < 20000; k++) {
        char from[24], once[16], twice[32];

        for (size_t i = 0; i < sizeof from - 1; i++)
            from[i] = (char)(rand_r(&seed) % 255 + 1);
        from[sizeof from - 1] = '\0';
        lw_text_clean(once, sizeof once, from);
        cr_assert(lw_text_clean(twice, sizeof twice, once));
        cr_assert_str_eq(once, twice); /* nothing left to replace, no character cut in two */
        for (const char *s = once; *s; s++)
            cr_assert((unsigned char)*s >= 0x20 && *s != 0x7f);
    }
}

Test(text, add_appends_and_cuts)
{
    char to[10] = "";

    lw_text_add(to, sizeof to, "%d-%s", 12, "ab");
    cr_expect_str_eq(to, "12-ab");
    lw_text_add(to, sizeof to, "%s", "cdefgh");
    cr_expect_str_eq(to, "12-abcdef");
    lw_text_add(to, sizeof to, "x");
    cr_expect_str_eq(to, "12-abcdef");
    strcpy(to, "1234567");
    lw_text_add(to, sizeof to, "%s", "\u20ac");
    cr_expect_str_eq(to, "1234567");
    strcpy(to, "123456");
    lw_text_add(to, sizeof to, "%s", "\u20acx");
    cr_expect_str_eq(to, "123456\u20ac");
}

Test(text, trim)
{
    char a[] = " \t two words\r\n", b[] = "   ", c[] = "";

    cr_expect_str_eq(lw_text_trim(a), "two words");
    cr_expect_str_eq(lw_text_trim(b), "");
    cr_expect_str_eq(lw_text_trim(c), "");
}

Test(text, numbers_round_trip)
{
    unsigned seed = 2;
    char text[40];
    double back;

    for (int i = 0; i < 20000; i++) {
        double value = ldexp(rand_r(&seed) - RAND_MAX / 2.0, rand_r(&seed) % 200 - 100) / 3;

        lw_text_number(text, sizeof text, value, 17);
        cr_assert(lw_text_to_number(text, &back), "%s", text);
        cr_assert_eq(back, value, "%s", text);
    }
    lw_text_number(text, sizeof text, NAN, 17);
    cr_expect_str_eq(text, "null");
    lw_text_number(text, sizeof text, -INFINITY, 17);
    cr_expect_str_eq(text, "null");
    lw_text_number(text, sizeof text, 46.5, 6);
    cr_expect_str_eq(text, "46.5");
}

Test(text, only_one_finite_number_is_one)
{
    static const char *bad[] = {"",   " ",   "nan", "inf", "0x1p3", "1,5",   "1.5 m", "1 2",
                                "1e", "1e+", ".",   "-",   "+-1",   "1e400", "--1",   "1.2.3"};
    double value = 7;

    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        cr_expect_not(lw_text_to_number(bad[i], &value), "\"%s\" was taken", bad[i]);
    cr_expect_eq(value, 7);
    cr_expect_not(lw_text_to_number(NULL, &value));
    cr_expect(lw_text_to_number("  -1.25e2\n", &value));
    cr_expect_eq(value, -125);
    cr_expect(lw_text_to_number("+.5", &value));
    cr_expect_eq(value, 0.5);
    cr_expect(lw_text_to_number("5.", &value));
    cr_expect_eq(value, 5);
}

/* A locale with a decimal comma. Debian has it only where it was generated: else skipped. */
Test(text, comma_locale_does_not_matter)
{
    static const char *names[] = {"de_DE.UTF-8", "de_DE.utf8", "fr_FR.UTF-8", "sv_SE.UTF-8"};
    const char *set = NULL;
    char text[40];
    double value;

    for (size_t i = 0; i < sizeof names / sizeof *names && !set; i++)
        set = setlocale(LC_NUMERIC, names[i]);
    if (!set)
        cr_skip_test("no locale with a decimal comma is installed");
    lw_text_number(text, sizeof text, -1234.5, 17);
    cr_expect_str_eq(text, "-1234.5");
    cr_expect(lw_text_to_number("1234.5", &value));
    cr_expect_eq(value, 1234.5);
    cr_expect_not(lw_text_to_number("1234,5", &value));
}

Test(text, failing_fills_one_clean_sentence)
{
    struct lw_error err = {""};

    cr_expect_eq(lw_fail(&err, "%s: line %d", "a\nb\x1b", 3), -1);
    cr_expect_str_eq(err.text, "a?b?: line 3");
    cr_expect_eq(lw_fail(&err, "map: %s", err.text), -1); /* its own text as an argument */
    cr_expect_str_eq(err.text, "map: a?b?: line 3");
    cr_expect_eq(lw_fail(NULL, "nobody asks"), -1);
    cr_expect_eq(lw_fail(&err, "%3000s", "long"), -1);
    cr_expect_eq(strlen(err.text), sizeof err.text - 1);
}
