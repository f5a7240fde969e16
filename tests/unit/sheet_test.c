/* lib/numeric/sheet.h: against the sparse factor on the same mesh, and against lattices known
   exactly. */
#include "near.h"

#include "base/memory.h"
#include "numeric/factor.h"
#include "numeric/sheet.h"

#include <stdlib.h>
#include <string.h>

static const double PI = 3.14159265358979323846;

static double next(uint64_t *state)
{
    *state = *state * 6364136223846793005u + 1442695040888963407u;
    return (double)(*state >> 11) * 0x1p-53;
}

/* The mesh as a list of branches, worked out edge by edge, as plainly as can be. */
typedef struct mesh {
    const sl__sheet *sheet;
    int32_t nodes, branches;
    int32_t *from, *to; /* nodes + c stands for contact c */
    double *g;
} mesh;

static bool in_contact(const sl__sheet_contact *c, double x, double y)
{
    return c->round ? hypot((x - c->x) / c->rx, (y - c->y) / c->ry) <= 1.0
                    : fabs(x - c->x) <= c->rx && fabs(y - c->y) <= c->ry;
}

static int32_t id_of(const mesh *m, int32_t x, int32_t y)
{
    for (int32_t k = 0; k < m->sheet->contact_count; k++) {
        if (in_contact(&m->sheet->contact[k], x, y)) {
            return m->nodes + k;
        }
    }
    return y * (m->sheet->nx + 1) + x;
}

static void add_branch(mesh *m, int32_t from, int32_t to, double g)
{
    if (from != to && g > 0.0) {
        m->from[m->branches] = from;
        m->to[m->branches] = to;
        m->g[m->branches++] = g;
    }
}

static bool is_metal(const sl__sheet *s, int32_t x, int32_t y)
{
    bool metal = x >= 0 && y >= 0 && x < s->nx && y < s->ny;
    for (int32_t h = 0; h < s->hole_count; h++) {
        metal = metal && !(x >= s->hole[h].x0 && x < s->hole[h].x1 && y >= s->hole[h].y0 &&
                           y < s->hole[h].y1);
    }
    return metal;
}

/* A piece of an edge from a place outside a contact to one inside it: its length, by bisection. */
static double length_outside(const sl__sheet_contact *c, double x, double y, double dx, double dy)
{
    double outside = 0.0, inside = 1.0;
    for (int step = 0; step < 60; step++) {
        const double middle = 0.5 * (inside + outside);
        const bool in = in_contact(c, x + middle * dx, y + middle * dy);
        inside = in ? middle : inside;
        outside = in ? outside : middle;
    }
    return hypot(dx, dy) * inside;
}

/* An edge, cut by at most one contact: where it comes closest to the middle of that, it is in it or
   nowhere. */
static void add_edge(mesh *m, int32_t x, int32_t y, int32_t dx, int32_t dy, double g)
{
    const int32_t from = id_of(m, x, y), to = id_of(m, x + dx, y + dy);
    for (int32_t k = 0; k < m->sheet->contact_count; k++) {
        const sl__sheet_contact *c = &m->sheet->contact[k];
        const double at = fmin(1.0, fmax(0.0, dx * (c->x - x) + dy * (c->y - y)));
        if (in_contact(c, x + at * dx, y + at * dy)) {
            if (from != m->nodes + k) {
                add_branch(m, from, m->nodes + k, g / length_outside(c, x, y, at * dx, at * dy));
            }
            if (to != m->nodes + k) {
                add_branch(m, m->nodes + k, to,
                           g / length_outside(c, x + dx, y + dy, (at - 1.0) * dx, (at - 1.0) * dy));
            }
            return;
        }
    }
    add_branch(m, from, to, g);
}

static mesh new_mesh(const sl__sheet *s)
{
    mesh m = {.sheet = s, .nodes = (s->nx + 1) * (s->ny + 1)};
    const size_t room = 3 * (size_t)m.nodes;
    m.from = calloc(room, sizeof *m.from);
    m.to = calloc(room, sizeof *m.to);
    m.g = calloc(room, sizeof *m.g);
    for (int32_t y = 0; y <= s->ny; y++) {
        for (int32_t x = 0; x <= s->nx; x++) {
            const double along_x = is_metal(s, x, y) + is_metal(s, x, y - 1);
            const double along_y = is_metal(s, x, y) + is_metal(s, x - 1, y);
            if (x < s->nx) {
                add_edge(&m, x, y, 1, 0, 0.5 * along_x * s->gx);
            }
            if (y < s->ny) {
                add_edge(&m, x, y, 0, 1, 0.5 * along_y * s->gy);
            }
        }
    }
    return m;
}

static void free_mesh(mesh *m)
{
    free(m->from);
    free(m->to);
    free(m->g);
}

/* g[i][j] by the factor: all contacts at the reference but i, which is at 1 V; the current into j.
 */
static void reduce_by_factor(const sl__sheet *s, double *g)
{
    mesh m = new_mesh(s);
    const int32_t k = s->contact_count;
    int32_t *from = calloc((size_t)m.branches, sizeof *from);
    int32_t *to = calloc((size_t)m.branches, sizeof *to);
    double *v = calloc((size_t)m.nodes, sizeof *v);
    for (int32_t e = 0; e < m.branches; e++) {
        from[e] = m.from[e] < m.nodes ? m.from[e] : SL__REFERENCE;
        to[e] = m.to[e] < m.nodes ? m.to[e] : SL__REFERENCE;
    }
    sl__factor *factor = NULL;
    assert_int_equal(sl__factor_new(&sl__default_alloc, m.nodes, m.branches, from, to, &factor),
                     SL_OK);
    sl__factor_update(factor, m.g);
    for (int32_t i = 0; i < k; i++) {
        memset(v, 0, (size_t)m.nodes * sizeof *v);
        for (int32_t e = 0; e < m.branches; e++) {
            const bool starts = m.from[e] == m.nodes + i, ends = m.to[e] == m.nodes + i;
            if ((starts && to[e] >= 0) || (ends && from[e] >= 0)) {
                v[starts ? to[e] : from[e]] += m.g[e];
            }
        }
        sl__factor_solve(factor, v, v);
        for (int32_t j = 0; j < k; j++) {
            g[i * k + j] = 0.0;
        }
        for (int32_t e = 0; e < m.branches; e++) {
            if (m.from[e] >= m.nodes && to[e] >= 0 && m.from[e] != m.nodes + i) {
                g[i * k + m.from[e] - m.nodes] += m.g[e] * v[to[e]];
            } else if (m.to[e] >= m.nodes && from[e] >= 0 && m.to[e] != m.nodes + i) {
                g[i * k + m.to[e] - m.nodes] += m.g[e] * v[from[e]];
            }
        }
    }
    sl__factor_free(factor);
    free(v);
    free(to);
    free(from);
    free_mesh(&m);
}

static void check_against_factor(const char *label, const sl__sheet *s)
{
    enum { MOST = 12 };
    double g[MOST * MOST], wanted[MOST * MOST];
    const int32_t k = s->contact_count;
    assert_true(k <= MOST);
    assert_int_equal(sl__sheet_reduce(&sl__default_alloc, s, g), SL_OK);
    reduce_by_factor(s, wanted);
    for (int32_t i = 0; i < k; i++) {
        for (int32_t j = 0; j < k; j++) {
            assert_near(label, g[i * k + j], wanted[i * k + j], 1e-12);
            assert_true(g[i * k + j] == g[j * k + i]);
        }
    }
}

/* Meshes of every shape, with discs at places that no line of the mesh goes through. */
static void reductions_agree_with_the_sparse_factor(void **unused)
{
    (void)unused;
    const int32_t sizes[][2] = {{20, 20}, {37, 23}, {64, 9}, {8, 71}, {101, 90}, {160, 150}};
    uint64_t seed = 11;
    for (size_t t = 0; t < sizeof sizes / sizeof *sizes; t++) {
        const int32_t nx = sizes[t][0], ny = sizes[t][1];
        sl__sheet_contact contact[4];
        for (int32_t k = 0; k < 4; k++) { /* one in each quarter */
            contact[k] = (sl__sheet_contact){true, nx * (0.25 + 0.5 * (k % 2)) + next(&seed),
                                             ny * (0.25 + 0.5 * (k / 2)) + next(&seed),
                                             1.0 + 0.3 * next(&seed), 1.1};
        }
        const sl__sheet sheet = {.nx = nx,
                                 .ny = ny,
                                 .gx = 1.0,
                                 .gy = 0.25 + next(&seed),
                                 .contact = contact,
                                 .contact_count = 4};
        check_against_factor("discs", &sheet);
    }
}

static void holes_and_bars_agree_with_the_sparse_factor(void **unused)
{
    (void)unused;
    const sl__sheet_contact contact[] = {
        {false, 0.0, 20.0, 0.0, 20.0}, /* the whole left side */
        {false, 50.0, 7.0, 6.0, 0.0},
        {true, 30.3, 30.2, 2.0, 2.0},
        {false, 60.0, 40.0, 0.0, 0.0},
    };
    const sl__sheet_hole hole[] = {{10, 3, 14, 38}, {20, 0, 26, 12}, {22, 8, 40, 18}};
    const sl__sheet sheet = {.nx = 60,
                             .ny = 40,
                             .gx = 2.0,
                             .gy = 0.5,
                             .contact = contact,
                             .contact_count = 4,
                             .hole = hole,
                             .hole_count = 3};
    check_against_factor("holes", &sheet);
}

static void what_a_hole_cuts_off_is_not_joined(void **unused)
{
    (void)unused;
    const sl__sheet_contact contact[] = {
        {true, 5.5, 10.2, 1.2, 1.2}, {true, 34.0, 9.0, 1.2, 1.2}, {true, 36.0, 16.0, 1.2, 1.2}};
    const sl__sheet_hole hole[] = {{18, 0, 20, 20}};
    const sl__sheet sheet = {.nx = 40,
                             .ny = 20,
                             .gx = 1.0,
                             .gy = 1.0,
                             .contact = contact,
                             .contact_count = 3,
                             .hole = hole,
                             .hole_count = 1};
    double g[9];
    assert_int_equal(sl__sheet_reduce(&sl__default_alloc, &sheet, g), SL_OK);
    assert_true(g[1] == 0.0 && g[2] == 0.0);
    assert_true(g[5] > 0.3 && g[5] < 3.0);
}

/* The resistance between two nodes of a square lattice far from its rim. R. The values of the
   infinite lattice: Am. J. Phys. 68, 896 (2000), from memory: neighbours 1/2, along the diagonal
   2/pi, two apart 2 - 4/pi. The rim is felt as 1 / size^2: less than 1e-5 here. */
static void far_from_the_rim_it_is_the_infinite_lattice(void **unused)
{
    (void)unused;
    const struct {
        int32_t dx, dy;
        double wanted;
    } row[] = {{1, 0, 0.5},
               {0, 1, 0.5},
               {1, 1, 2.0 / PI},
               {2, 0, 2.0 - 4.0 / PI},
               {2, 1, 4.0 / PI - 0.5},
               {4, 4, 352.0 / (105.0 * PI)}};
    for (size_t k = 0; k < sizeof row / sizeof *row; k++) {
        const sl__sheet_contact contact[] = {
            {false, 300.0, 300.0, 0.0, 0.0},
            {false, 300.0 + row[k].dx, 300.0 + row[k].dy, 0.0, 0.0}};
        const sl__sheet sheet = {
            .nx = 600, .ny = 600, .gx = 1.0, .gy = 1.0, .contact = contact, .contact_count = 2};
        double g[4];
        assert_int_equal(sl__sheet_reduce(&sl__default_alloc, &sheet, g), SL_OK);
        assert_near("lattice", 1.0 / g[1], row[k].wanted, 1e-4);
    }
}

static bool count_and_stop(void *user, double done)
{
    int *left = user;
    assert_true(done >= 0.0 && done <= 1.0 + 1e-9);
    return (*left)-- > 0;
}

static void it_stops_when_told_to(void **unused)
{
    (void)unused;
    const sl__sheet_contact contact[] = {{true, 50.5, 50.2, 3.0, 3.0},
                                         {true, 334.0, 290.0, 3.0, 3.0}};
    int calls = 1000000;
    sl__sheet sheet = {.nx = 400,
                       .ny = 300,
                       .gx = 1.0,
                       .gy = 1.0,
                       .contact = contact,
                       .contact_count = 2,
                       .go_on = count_and_stop,
                       .user = &calls};
    double g[4] = {-1.0, -1.0, -1.0, -1.0}, whole[4];
    assert_int_equal(sl__sheet_reduce(&sl__default_alloc, &sheet, whole), SL_OK);
    const int all = 1000000 - calls;
    assert_true(all > 10);
    for (int at = 0; at < all; at += all / 5) {
        calls = at;
        assert_int_equal(sl__sheet_reduce(&sl__default_alloc, &sheet, g), SL_E_STOPPED);
        assert_true(g[1] == -1.0);
    }
    calls = all;
    assert_int_equal(sl__sheet_reduce(&sl__default_alloc, &sheet, g), SL_OK);
    assert_memory_equal(g, whole, sizeof g);
}

/* An allocator that fails from its n-th call on, and counts bytes. */
typedef struct budget {
    int64_t calls;
    size_t bytes;
} budget;

static void *spend(void *user, void *block, size_t old_bytes, size_t new_bytes)
{
    budget *b = user;
    if (new_bytes == 0) {
        b->bytes -= block ? old_bytes : 0;
        free(block);
        return NULL;
    }
    if (b->calls-- <= 0) {
        return NULL;
    }
    b->bytes += new_bytes - (block ? old_bytes : 0);
    return realloc(block, new_bytes);
}

static void every_allocation_may_fail(void **unused)
{
    (void)unused;
    const sl__sheet_contact contact[] = {{true, 5.5, 5.2, 1.0, 1.0}, {true, 34.0, 29.0, 1.0, 1.0}};
    const sl__sheet sheet = {
        .nx = 40, .ny = 33, .gx = 1.0, .gy = 1.0, .contact = contact, .contact_count = 2};
    sl_status st = SL_E_NOMEM;
    int64_t most = 0;
    for (; st == SL_E_NOMEM; most++) {
        budget b = {most, 0};
        const sl_alloc al = {spend, &b};
        double g[4] = {-1.0, -1.0, -1.0, -1.0};
        st = sl__sheet_reduce(&al, &sheet, g);
        assert_int_equal(b.bytes, 0);
        assert_true((g[1] == -1.0) == (st != SL_OK));
    }
    assert_int_equal(st, SL_OK);
    assert_true(most > 50);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reductions_agree_with_the_sparse_factor),
        cmocka_unit_test(holes_and_bars_agree_with_the_sparse_factor),
        cmocka_unit_test(what_a_hole_cuts_off_is_not_joined),
        cmocka_unit_test(far_from_the_rim_it_is_the_infinite_lattice),
        cmocka_unit_test(it_stops_when_told_to),
        cmocka_unit_test(every_allocation_may_fail),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
