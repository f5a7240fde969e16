/* tests/support/tangle.c: random circuits with curved parts. */
#include "tangle.h"

#include <stdio.h>
#include <stdlib.h>

#include "netgen.h"
#include "rig.h"

void tangle_load(sl_circuit *c, const char *name, const char *from, const char *to,
                 uint64_t *random)
{
    char nodes[80], values[200];
    double size = netgen_log_uniform(random, 0.5, 500.0);
    if (netgen_below(random, 3)) {
        snprintf(nodes, sizeof nodes, "%s %s", from, to);
        snprintf(values, sizeof values, "power=%.17g, cold_ratio=%.17g", size,
                 netgen_uniform(random, 1.0, 16.0));
        rig_part(c, "lamp", name, nodes, values);
    } else {
        snprintf(nodes, sizeof nodes, "%s %s - -", from, to);
        snprintf(values, sizeof values,
                 "solenoid=none, starts=turning, cranking_current=%.17g, drag=%.17g, field=%s",
                 20.0 + size, netgen_uniform(random, 0.2, 3.0),
                 netgen_below(random, 2) ? "magnet" : "series");
        rig_part(c, "starter", name, nodes, values);
    }
}

enum { POSTS = 8 };

static void post(char *text, size_t size, int32_t number)
{
    if (number) {
        snprintf(text, size, "n%d", (int)number);
    } else {
        snprintf(text, size, "0");
    }
}

/* Two different posts. */
static void draw_ends(char ends[2][16], uint64_t *random)
{
    int32_t a = netgen_below(random, POSTS), b = netgen_below(random, POSTS - 1);
    post(ends[0], 16, a);
    post(ends[1], 16, b + (b >= a));
}

static void draw_string(sl_circuit *c, int32_t number, uint64_t *random)
{
    char ends[2][16], from[32], to[32], name[32];
    draw_ends(ends, random);
    int32_t lamps = 1 + netgen_below(random, 4);
    snprintf(from, sizeof from, "%s", ends[0]);
    for (int32_t i = 0; i < lamps; i++) {
        bool last = i == lamps - 1 && netgen_below(random, 6) > 0; /* now and then it ends in air */
        snprintf(name, sizeof name, "L%d.%d", (int)number, (int)i);
        if (last) {
            snprintf(to, sizeof to, "%s", ends[1]);
        } else {
            snprintf(to, sizeof to, "m%d.%d", (int)number, (int)i);
        }
        tangle_load(c, name, from, to, random);
        snprintf(from, sizeof from, "%s", to);
    }
}

static void draw_part(sl_circuit *c, int32_t number, uint64_t *random)
{
    char ends[2][16], nodes[80], name[16], values[120];
    draw_ends(ends, random);
    snprintf(name, sizeof name, "P%d", (int)number);
    snprintf(nodes, sizeof nodes, "%s %s", ends[0], ends[1]);
    switch (netgen_below(random, 9)) {
    case 0:
        snprintf(values, sizeof values, "cca=%.17g, charge=%.17g",
                 netgen_uniform(random, 50.0, 1000.0), netgen_uniform(random, 0.0, 1.0));
        rig_part(c, "battery", name, nodes, values);
        break;
    case 1:
        snprintf(nodes, sizeof nodes, "%s %s n%d -", ends[0], ends[1],
                 (int)(1 + netgen_below(random, POSTS - 1)));
        rig_try(c, "starter", name, nodes, netgen_below(random, 2) ? "stuck=open" : "stuck=closed",
                &(sl_part){0});
        break;
    case 2:
        snprintf(nodes, sizeof nodes, "%s %s %s n%d -", ends[0], ends[1], ends[1],
                 (int)(1 + netgen_below(random, POSTS - 1)));
        rig_try(c, "relay", name, nodes, netgen_below(random, 2) ? "stuck=open" : "stuck=closed",
                &(sl_part){0});
        break;
    case 3:
        snprintf(nodes, sizeof nodes, "%s %s -", ends[0], ends[1]);
        snprintf(values, sizeof values, "power=%.17g, low_voltage=draws less",
                 netgen_log_uniform(random, 0.1, 200.0));
        rig_part(c, "module", name, nodes, values);
        break;
    case 4:
    case 5:
        draw_string(c, number, random);
        break;
    default:
        snprintf(values, sizeof values, "resistance=%.17g",
                 netgen_below(random, 2) ? netgen_log_uniform(random, 1e-5, 1.0)
                                         : netgen_log_uniform(random, 1e-9, 1e12));
        rig_part(c, "resistor", name, nodes, values);
    }
}

sl_circuit *tangle_knot(uint64_t seed)
{
    uint64_t random = seed;
    sl_circuit *c = rig_grounded();
    rig_part(c, "battery", "B", "n1 0", "cca=600");
    int32_t parts = 6 + netgen_below(&random, 20);
    for (int32_t i = 0; i < parts; i++) {
        draw_part(c, i, &random);
    }
    return c;
}

static void row_name(char *text, size_t size, int32_t row)
{
    if (row < 0) {
        snprintf(text, size, "0");
    } else {
        snprintf(text, size, "n%d", (int)row);
    }
}

/* A curved part in place of a load of so many ohms at 12 V. */
static void add_curved(sl_circuit *c, const char *name, const char *from, const char *to,
                       double ohm, uint64_t *random)
{
    char nodes[80], values[120];
    snprintf(nodes, sizeof nodes, "%s %s", from, to);
    switch (netgen_below(random, 6)) {
    case 0:
        snprintf(nodes, sizeof nodes, "%s %s -", from, to);
        snprintf(values, sizeof values, "power=%.17g, low_voltage=draws less", 144.0 / ohm);
        rig_part(c, "module", name, nodes, values);
        break;
    case 1:
        snprintf(values, sizeof values, "rated_current=%.17g", 12.0 / ohm);
        rig_part(c, "diode", name, nodes, values);
        break;
    case 2:
        tangle_load(c, name, from, to, random);
        break;
    default:
        snprintf(values, sizeof values, "power=%.17g", 144.0 / ohm);
        rig_part(c, "lamp", name, nodes, values);
    }
}

sl_circuit *tangle_vehicle(uint64_t seed, int32_t *curved)
{
    uint64_t random = seed;
    int32_t rows = 40 + netgen_below(&random, 260), most = 4 + netgen_below(&random, 17);
    netgen net = netgen_vehicle(rows, netgen_random(&random));
    sl_circuit *c = rig_grounded();
    char a[16], b[16], nodes[40], values[80], name[16];
    *curved = 0;
    for (int32_t e = 0; e < net.branches; e++) {
        double ohm = 1.0 / net.g[e];
        row_name(a, sizeof a, net.from[e]);
        row_name(b, sizeof b, net.to[e]);
        snprintf(name, sizeof name, "b%d", (int)e);
        if (net.emf[e] != 0.0) {
            snprintf(nodes, sizeof nodes, "%s %s", b, a);
            snprintf(values, sizeof values, "cca=%.17g", netgen_uniform(&random, 200.0, 900.0));
            rig_part(c, "battery", name, nodes, values);
        } else if (*curved < most && ohm > 0.4 && ohm < 501.0) {
            ++*curved;
            add_curved(c, name, a, b, ohm, &random);
        } else {
            snprintf(nodes, sizeof nodes, "%s %s", a, b);
            snprintf(values, sizeof values, "resistance=%.17g", ohm);
            rig_part(c, "resistor", name, nodes, values);
        }
    }
    netgen_free(&net);
    return c;
}
