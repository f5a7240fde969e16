/* tests/support/plan_graphs.c: graphs and lattices of 1 ohm. */
#include "plan.h"

plan plan_path(int32_t nodes)
{
    plan p = plan_start(nodes);
    for (int32_t n = 1; n < nodes; n++) {
        plan_join(&p, n - 1, n);
    }
    return p;
}

plan plan_cycle(int32_t nodes)
{
    plan p = plan_path(nodes);
    plan_join(&p, nodes - 1, 0);
    return p;
}

plan plan_complete(int32_t nodes)
{
    plan p = plan_start(nodes);
    for (int32_t a = 0; a < nodes; a++) {
        for (int32_t b = 0; b < a; b++) {
            plan_join(&p, b, a);
        }
    }
    return p;
}

plan plan_bipartite(int32_t m, int32_t n)
{
    plan p = plan_start(m + n);
    for (int32_t a = 0; a < m; a++) {
        for (int32_t b = 0; b < n; b++) {
            plan_join(&p, a, m + b);
        }
    }
    return p;
}

plan plan_wheel(int32_t rim)
{
    plan p = plan_start(rim + 1);
    for (int32_t k = 0; k < rim; k++) {
        plan_join(&p, 0, 1 + k);
        plan_join(&p, 1 + k, 1 + (k + 1) % rim);
    }
    return p;
}

plan plan_grid(int32_t wide, int32_t high)
{
    plan p = plan_start(wide * high);
    for (int32_t k = 0; k < wide * high; k++) {
        if (k % wide + 1 < wide) {
            plan_join(&p, k, k + 1);
        }
        if (k + wide < wide * high) {
            plan_join(&p, k, k + wide);
        }
    }
    return p;
}

plan plan_hypercube(int32_t d)
{
    plan p = plan_start(1 << d);
    for (int32_t n = 0; n < p.nodes; n++) {
        for (int32_t bit = 0; bit < d; bit++) {
            if (!(n & 1 << bit)) {
                plan_join(&p, n, n | 1 << bit);
            }
        }
    }
    return p;
}

/* Node k is opposite to k + 3. */
plan plan_octahedron(void)
{
    plan p = plan_start(6);
    for (int32_t a = 0; a < 6; a++) {
        for (int32_t b = 0; b < a; b++) {
            if (a - b != 3) {
                plan_join(&p, b, a);
            }
        }
    }
    return p;
}

plan plan_petersen(int32_t n, int32_t skip)
{
    plan p = plan_start(2 * n);
    for (int32_t k = 0; k < n; k++) {
        plan_join(&p, k, (k + 1) % n);
        plan_join(&p, k, n + k);
        plan_join(&p, n + k, n + (k + skip) % n);
    }
    return p;
}

/* Two poles, 0 and 11, and two rings of five. */
plan plan_icosahedron(void)
{
    plan p = plan_start(12);
    for (int32_t k = 0; k < 5; k++) {
        int32_t up = 1 + k, down = 6 + k, next = (k + 1) % 5;
        plan_join(&p, 0, up);
        plan_join(&p, 11, down);
        plan_join(&p, up, 1 + next);
        plan_join(&p, down, 6 + next);
        plan_join(&p, up, down);
        plan_join(&p, up, 6 + next);
    }
    return p;
}

plan plan_ladder(int32_t sections)
{
    plan p = plan_start(sections + 2);
    for (int32_t k = 0; k < sections; k++) {
        plan_join(&p, k, k + 1);
        plan_join(&p, k + 1, sections + 1);
    }
    return p;
}

static int32_t power(int32_t n, int32_t d)
{
    return d == 0 ? 1 : n * power(n, d - 1);
}

plan plan_torus(int32_t d, int32_t n)
{
    plan p = plan_start(power(n, d));
    for (int32_t k = 0; k < p.nodes; k++) {
        for (int32_t axis = 0; axis < d; axis++) {
            int32_t stride = power(n, axis), at = k / stride % n;
            plan_join(&p, k, k + ((at + 1) % n - at) * stride);
        }
    }
    return p;
}

int32_t plan_cell(int32_t n, int32_t x, int32_t y, int32_t z)
{
    return (x % n + n) % n + n * ((y % n + n) % n) + n * n * ((z % n + n) % n);
}

/* Axes at 60 degrees: neighbours in the direction of x, of y, and of x - y. */
plan plan_triangular(int32_t n)
{
    plan p = plan_start(n * n);
    for (int32_t y = 0; y < n; y++) {
        for (int32_t x = 0; x < n; x++) {
            int32_t k = plan_cell(n, x, y, 0);
            plan_join(&p, k, plan_cell(n, x + 1, y, 0));
            plan_join(&p, k, plan_cell(n, x, y + 1, 0));
            plan_join(&p, k, plan_cell(n, x + 1, y - 1, 0));
        }
    }
    return p;
}

plan plan_honeycomb(int32_t n)
{
    plan p = plan_start(2 * n * n);
    for (int32_t y = 0; y < n; y++) {
        for (int32_t x = 0; x < n; x++) {
            int32_t k = 2 * plan_cell(n, x, y, 0);
            plan_join(&p, k, k + 1);
            plan_join(&p, k + 1, 2 * plan_cell(n, x + 1, y, 0));
            plan_join(&p, k + 1, 2 * plan_cell(n, x, y + 1, 0));
        }
    }
    return p;
}

/* Each cell is a triangle; a second triangle joins it to its neighbours. */
plan plan_kagome(int32_t n)
{
    plan p = plan_start(3 * n * n);
    for (int32_t y = 0; y < n; y++) {
        for (int32_t x = 0; x < n; x++) {
            int32_t k = 3 * plan_cell(n, x, y, 0);
            int32_t right = 3 * plan_cell(n, x - 1, y, 0) + 1;
            int32_t above = 3 * plan_cell(n, x, y - 1, 0) + 2;
            int32_t triangle[2][3] = {{k, k + 1, k + 2}, {k, right, above}};
            for (int32_t t = 0; t < 2; t++) {
                plan_join(&p, triangle[t][0], triangle[t][1]);
                plan_join(&p, triangle[t][1], triangle[t][2]);
                plan_join(&p, triangle[t][2], triangle[t][0]);
            }
        }
    }
    return p;
}

/* Corner of the cube, and its middle, which is joined to the eight corners. */
plan plan_bcc(int32_t n)
{
    plan p = plan_start(2 * n * n * n);
    for (int32_t c = 0; c < n * n * n; c++) {
        for (int32_t k = 0; k < 8; k++) {
            int32_t x = c % n + (k & 1), y = c / n % n + (k >> 1 & 1), z = c / (n * n) + (k >> 2);
            plan_join(&p, 2 * c + 1, 2 * plan_cell(n, x, y, z));
        }
    }
    return p;
}

/* Corner 0 of the cube and the middles 1, 2, 3 of its faces across x, y, z, in half edges. */
plan plan_fcc(int32_t n)
{
    static const int32_t place[4][3] = {{0, 0, 0}, {0, 1, 1}, {1, 0, 1}, {1, 1, 0}};
    plan p = plan_start(4 * n * n * n);
    for (int32_t c = 0; c < n * n * n; c++) {
        for (int32_t s = 0; s < 4; s++) {
            for (int32_t t = 0; t < s; t++) {
                for (int32_t sign = 0; sign < 4; sign++) {
                    /* The two sites differ in two coordinates, each by +1 or -1. */
                    int32_t to[3], seen = 0;
                    for (int32_t i = 0; i < 3; i++) {
                        bool differs = place[s][i] != place[t][i];
                        int32_t step = differs ? (sign >> seen & 1 ? 1 : -1) : 0;
                        seen += differs;
                        to[i] = place[s][i] + step;
                    }
                    int32_t x = c % n + (to[0] - place[t][0]) / 2;
                    int32_t y = c / n % n + (to[1] - place[t][1]) / 2;
                    int32_t z = c / (n * n) + (to[2] - place[t][2]) / 2;
                    plan_join(&p, 4 * c + s, 4 * plan_cell(n, x, y, z) + t);
                }
            }
        }
    }
    return p;
}
