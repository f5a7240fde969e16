/* Random networks of resistances, links and ideal sources, against a modified nodal matrix in long
   double, eliminated with full pivoting: it knows no classes, islands or trees. */
#include "near.h"
#include "netgen.h"
#include "rig.h"

#include <stdio.h>

enum { NODES = 7, PARTS = 12, UNKNOWNS = NODES + PARTS };
enum { CIRCUITS = 4000 };

/* Resistances here are 0.1 to 10 ohm: pivots below this come from dependent rows only. */
#define SINGULAR 1e-9L

typedef enum form { RESISTANCE, LINK, VOLTAGE, CURRENT } form;

typedef struct network {
    int nodes, parts;
    form form[PARTS];
    int from[PARTS], to[PARTS];
    double value[PARTS];
} network;

static network draw(uint64_t *random)
{
    network net = {.nodes = 3 + netgen_below(random, NODES - 2)};
    net.parts = 2 + netgen_below(random, PARTS - 1);
    for (int k = 0; k < net.parts; k++) {
        net.from[k] = netgen_below(random, net.nodes);
        net.to[k] = (net.from[k] + 1 + netgen_below(random, net.nodes - 1)) % net.nodes;
        int dice = netgen_below(random, 20);
        net.form[k] = dice < 13 ? RESISTANCE : dice < 16 ? LINK : dice < 18 ? VOLTAGE : CURRENT;
        net.value[k] = net.form[k] == LINK         ? 0.0
                       : net.form[k] == RESISTANCE ? netgen_log_uniform(random, 0.1, 10.0)
                                                   : netgen_uniform(random, -20.0, 20.0);
    }
    return net;
}

static sl_circuit *build(const network *net)
{
    static const char *const kind[] = {"resistor", "resistor", "source", "source"};
    static const char *const param[] = {"resistance", "resistance", "voltage", "current"};
    sl_circuit *c = rig_circuit(NULL);
    sl_node node;
    for (int n = 0; n < net->nodes; n++) {
        char name[16];
        snprintf(name, sizeof name, "n%d", n);
        assert_int_equal(sl_circuit_node(c, name, &node), SL_OK);
    }
    assert_int_equal(sl_circuit_set_reference(c, 0), SL_OK);
    for (int k = 0; k < net->parts; k++) {
        char name[16], nodes[40], value[60];
        form f = net->form[k];
        snprintf(name, sizeof name, "P%d", k);
        snprintf(nodes, sizeof nodes, "n%d n%d", net->from[k], net->to[k]);
        snprintf(value, sizeof value, "%s=%.17g", param[f], net->value[k]);
        rig_part(c, kind[f], name, nodes, value);
    }
    return c;
}

typedef struct matrix {
    int size, rank;
    long double a[UNKNOWNS][UNKNOWNS + 1];
} matrix;

/* One row a node: what leaves it is 0; the reference's row says it is at 0 V. One row a part: its
   law. Unknowns: node voltages, then currents of parts. */
static void stamp(const network *net, matrix *m)
{
    *m = (matrix){.size = net->nodes + net->parts};
    for (int k = 0; k < net->parts; k++) {
        int row = net->nodes + k, from = net->from[k], to = net->to[k];
        m->a[from][row] += 1.0L;
        m->a[to][row] -= 1.0L;
        if (net->form[k] == CURRENT) {
            m->a[row][row] = 1.0L;
            m->a[row][m->size] = -(long double)net->value[k];
            continue;
        }
        m->a[row][from] = 1.0L;
        m->a[row][to] = -1.0L;
        if (net->form[k] == RESISTANCE) {
            m->a[row][row] = -(long double)net->value[k];
        } else {
            m->a[row][m->size] = net->value[k];
        }
    }
    for (int j = 0; j <= m->size; j++) {
        m->a[0][j] = j == 0;
    }
}

static void swap_rows(matrix *m, int r, int s)
{
    for (int j = 0; j <= m->size; j++) {
        long double t = m->a[r][j];
        m->a[r][j] = m->a[s][j];
        m->a[s][j] = t;
    }
}

/* Gauss and Jordan; x[unknown] when the rank is full. */
static void eliminate(matrix *m, long double *x)
{
    bool used[UNKNOWNS] = {false};
    int column[UNKNOWNS] = {0};
    for (m->rank = 0; m->rank < m->size; m->rank++) {
        int row = -1, col = -1;
        long double greatest = SINGULAR;
        for (int i = m->rank; i < m->size; i++) {
            for (int j = 0; j < m->size; j++) {
                if (!used[j] && fabsl(m->a[i][j]) > greatest) {
                    greatest = fabsl(m->a[i][j]);
                    row = i;
                    col = j;
                }
            }
        }
        if (row < 0) {
            return;
        }
        swap_rows(m, row, m->rank);
        used[col] = true;
        column[m->rank] = col;
        for (int i = 0; i < m->size; i++) {
            long double share = m->a[i][col] / m->a[m->rank][col];
            for (int j = 0; i != m->rank && j <= m->size; j++) {
                m->a[i][j] -= share * m->a[m->rank][j];
            }
        }
    }
    for (int r = 0; r < m->size; r++) {
        x[column[r]] = m->a[r][m->size] / m->a[r][column[r]];
    }
}

/* Everything defined: every node has a voltage and every part a current. */
static bool all_defined(const network *net, const sl_case *cs)
{
    bool defined = true;
    for (int n = 0; n < net->nodes; n++) {
        double volts;
        defined = defined && sl_case_node(cs, n, &volts) == SL_OK;
    }
    for (int k = 0; k < net->parts; k++) {
        sl_part_answer answer;
        defined = defined && sl_case_part(cs, k, &answer) == SL_OK;
    }
    return defined;
}

static void close_to(uint64_t seed, const char *what, int at, double got, long double wanted)
{
    if (!(fabsl(got - wanted) <= 1e-12L * (1.0L + fabsl(wanted)))) {
        fail_msg("seed %d: %s %d: got %.17g, wanted %.17Lg", (int)seed, what, at, got, wanted);
    }
}

static void random_networks_agree_with_a_nodal_matrix(void **unused)
{
    (void)unused;
    int solved = 0, refused = 0, partly = 0;
    for (uint64_t seed = 1; seed <= CIRCUITS; seed++) {
        uint64_t random = seed;
        network net = draw(&random);
        matrix m;
        long double x[UNKNOWNS];
        stamp(&net, &m);
        eliminate(&m, x);
        sl_circuit *c = build(&net);
        sl_case *cs = rig_case(c, 0);
        sl_status st = sl_case_solve(cs);
        bool defined = st == SL_OK && all_defined(&net, cs);
        if (st != SL_OK && st != SL_E_CONTRADICTION) {
            fail_msg("seed %d: %s", (int)seed, sl_case_message(cs));
        }
        if (defined != (m.rank == m.size)) {
            fail_msg("seed %d: rank %d of %d, yet status %d", (int)seed, m.rank, m.size, st);
        }
        for (int n = 0; defined && n < net.nodes; n++) {
            double volts;
            assert_int_equal(sl_case_node(cs, n, &volts), SL_OK);
            close_to(seed, "node", n, volts, x[n]);
        }
        for (int k = 0; defined && k < net.parts; k++) {
            sl_part_answer answer;
            assert_int_equal(sl_case_part(cs, k, &answer), SL_OK);
            close_to(seed, "part", k, answer.current_a, x[net.nodes + k]);
        }
        solved += defined;
        refused += st != SL_OK;
        partly += st == SL_OK && !defined;
        rig_free(c, cs);
    }
    /* the draw covers all three */
    assert_true(solved > CIRCUITS / 20 && refused > CIRCUITS / 20 && partly > CIRCUITS / 20);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(random_networks_agree_with_a_nodal_matrix),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
