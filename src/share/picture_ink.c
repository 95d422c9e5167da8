/* Where lettering may go. */
#include <math.h>
#include <stdlib.h>

#include "picture_page.h"

#define SQUARE 0.33 /* mm */

int ink_open(struct ink *ink, const struct page *page)
{
    ink->map = page->map;
    ink->nx = (int)ceil((page->map.x1 - page->map.x0) / SQUARE);
    ink->ny = (int)ceil((page->map.y1 - page->map.y0) / SQUARE);
    ink->square = calloc((size_t)ink->nx * (size_t)ink->ny, 1);
    return ink->square ? 0 : -1;
}

void ink_close(struct ink *ink)
{
    free(ink->square);
    ink->square = NULL;
}

/* The square about a place; NULL out of the frame. */
static unsigned char *square_at(const struct ink *ink, struct mm at)
{
    double x = (at.x - ink->map.x0) / SQUARE, y = (at.y - ink->map.y0) / SQUARE;

    if (!(x >= 0 && y >= 0 && x < ink->nx && y < ink->ny))
        return NULL;
    return &ink->square[(size_t)y * (size_t)ink->nx + (size_t)x];
}

void ink_line(struct ink *ink, const struct mm *p, size_t n, int kind)
{
    for (size_t i = 1; i < n; i++) {
        double length = hypot(p[i].x - p[i - 1].x, p[i].y - p[i - 1].y);
        int steps = (int)ceil(fmin(length, 1e4) / (SQUARE / 2));

        for (int k = 0; k <= steps; k++) {
            double t = steps ? (double)k / steps : 0;
            unsigned char *square = square_at(ink,
                                              (struct mm){p[i - 1].x + t * (p[i].x - p[i - 1].x),
                                                          p[i - 1].y + t * (p[i].y - p[i - 1].y)});

            if (square)
                *square |= (unsigned char)kind;
        }
    }
}

/* The place in the box's own axes, -1..1 across and down. */
static struct mm within(const struct text_box *box, double across, double down)
{
    double turn = box->angle_deg * M_PI / 180, x = across * box->w / 2, y = down * box->h / 2;

    return (struct mm){box->at.x + x * cos(turn) - y * sin(turn),
                       box->at.y + x * sin(turn) + y * cos(turn)};
}

void ink_text(struct ink *ink, const struct text_box *box)
{
    int nx = (int)ceil(box->w / SQUARE * 1.5), ny = (int)ceil(box->h / SQUARE * 1.5);

    for (int i = 0; i <= ny; i++)
        for (int j = 0; j <= nx; j++) {
            unsigned char *square = square_at(ink, within(box, 2.0 * j / nx - 1, 2.0 * i / ny - 1));

            if (square)
                *square |= INK_TEXT;
        }
}

int ink_cost(const struct ink *ink, const struct text_box *box)
{
    int nx = (int)ceil(box->w / SQUARE), ny = (int)ceil(box->h / SQUARE), cost = 0;

    for (int i = 0; i <= ny; i++)
        for (int j = 0; j <= nx; j++) {
            const unsigned char *square = square_at(
                ink, within(box, 2.0 * j / nx - 1, 2.0 * i / ny - 1));

            if (!square || *square & INK_TEXT)
                return -1;
            cost += *square & INK_LINE;
        }
    return cost;
}

double text_width(const char *text, double size_mm)
{
    double sum = 0;

    for (const unsigned char *s = (const unsigned char *)text; *s; s++)
        if ((*s & 0xC0) != 0x80) /* wide scripts begin at three bytes */
            sum += *s >= 0xE3 ? 1.0 : *s == ' ' || *s == ',' || *s == '.' ? 0.35 : 0.58;
    return sum * size_mm;
}

bool text_along(const struct mm *p, size_t n, double at_mm, double aside_mm, struct text_box *box)
{
    struct mm from = mm_at(p, n, at_mm - box->w / 2), to = mm_at(p, n, at_mm + box->w / 2);
    struct mm mid = mm_at(p, n, at_mm);
    double dx = to.x - from.x, dy = to.y - from.y, chord = hypot(dx, dy);
    double bow = chord > 0 ? ((mid.y - from.y) * dx - (mid.x - from.x) * dy) / chord : 0;
    double right; /* of the chord: in the midst of the line, or beside all of it */

    if (chord < 0.94 * box->w || fabs(bow) > 0.12 * box->w)
        return false;
    right = aside_mm > 0   ? fmax(bow, 0) + aside_mm
            : aside_mm < 0 ? fmin(bow, 0) + aside_mm
                           : bow / 2;
    box->at = (struct mm){(from.x + to.x) / 2 - right * dy / chord,
                          (from.y + to.y) / 2 + right * dx / chord};
    box->angle_deg = atan2(dy, dx) * 180 / M_PI;
    if (box->angle_deg > 90)
        box->angle_deg -= 180;
    if (box->angle_deg <= -90)
        box->angle_deg += 180;
    return true;
}
