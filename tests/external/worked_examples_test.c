/* tests/external/worked_examples_test.c: worked examples of open books, and own ones.
   Each value stands with the answer that was worked out exactly, and with the digits the book
   prints. "verified": the printed answer was seen in the book; "from memory": it was not, and was
   computed again; "computed": no printed answer. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "build.h"
#include "near.h"

static const double EXACT = 1e-12;

/* got is `wanted`, and rounds to the digits in `printed` (NULL: none are printed). */
static void check(const char *label, double got, double wanted, const char *printed)
{
    assert_near(label, got, wanted, EXACT);
    if (printed) {
        const char *point = strchr(printed, '.');
        int decimals = point ? (int)strlen(point + 1) : 0;
        char text[32];
        snprintf(text, sizeof text, "%.*f", decimals, got);
        if (strcmp(text, printed) != 0) {
            print_error("%s: got %s, printed %s\n", label, text, printed);
            fail();
        }
    }
}

static build grounded(void)
{
    build b = build_start();
    build_reference(&b, "0");
    return b;
}

/* W1: OpenStax University Physics vol. 2, Example 10.1; verified. The book prints 11.90 V for (a);
   12.00 - 0.1188 is 11.88 V. */
static void w1_terminal_voltage(void **state)
{
    (void)state;
    build b = grounded();
    build_voltage(&b, "emf", "0", 12.00);
    sl_part inner = build_resistor(&b, "emf", "post", 0.100);
    sl_part load = build_resistor(&b, "post", "0", 10.00);
    build_solve(&b);
    check("W1a I", build_amps(&b, load), 12.0 / 10.1, "1.188");
    check("W1a V", build_volts(&b, "post"), 120.0 / 10.1, "11.88");
    build_set(&b, load, "resistance", 0.500);
    build_solve(&b);
    check("W1b I", build_amps(&b, load), 20.0, "20.00");
    check("W1b V", build_volts(&b, "post"), 10.0, "10.00");
    check("W1b P", build_watts(&b, load), 200.0, "200");
    build_set(&b, inner, "resistance", 0.500);
    build_solve(&b);
    check("W1d I", build_amps(&b, load), 12.0, "12.00");
    check("W1d V", build_volts(&b, "post"), 6.0, "6.00");
    check("W1d P", build_watts(&b, load), 72.0, "72.00");
    build_free(&b);
}

/* W2: the same book, section 10.3, first circuit; verified, but the split of 7 ohm into 3 + 4 is
   from memory. */
static void w2_two_sources(void **state)
{
    (void)state;
    build b = grounded();
    sl_part v1 = build_voltage(&b, "a", "0", 24.0);
    sl_part v2 = build_voltage(&b, "c", "0", 29.0);
    sl_part r1 = build_resistor(&b, "a", "b", 3.0);
    sl_part r2 = build_resistor(&b, "b", "0", 3.0);
    sl_part r3 = build_resistor(&b, "b", "d", 3.0);
    sl_part r4 = build_resistor(&b, "d", "c", 4.0);
    build_solve(&b);
    check("W2 I1", build_amps(&b, r1), 3.0, "3.00");
    check("W2 I2", build_amps(&b, r2), 5.0, "5.00");
    check("W2 I3", build_amps(&b, r3), -2.0, "-2.00");
    check("W2 V_b", build_volts(&b, "b"), 15.0, NULL);
    double taken =
        build_watts(&b, r1) + build_watts(&b, r2) + build_watts(&b, r3) + build_watts(&b, r4);
    check("W2 P", taken, 130.0, "130");
    check("W2 P given", -build_watts(&b, v1) - build_watts(&b, v2), 130.0, "130");
    build_free(&b);
}

/* W3: the same book, Example 10.6; verified. The solution needs R1 = 1 and R4 = 2 ohm; how 8 ohm is
   split does not matter to it. */
static void w3_three_loops(void **state)
{
    (void)state;
    build b = grounded(); /* 3 I1 - 8 I2 = V1 - V3 = -1.8; 8 I2 + I3 = V2 + V3 = 2.9 */
    build_voltage(&b, "p1", "0", 0.5);
    build_voltage(&b, "p3", "0", 2.3);
    build_voltage(&b, "0", "p2", 0.6);
    sl_part i1 = build_resistor(&b, "p1", "q1", 1.0);
    build_resistor(&b, "q1", "top", 2.0);
    sl_part i2 = build_resistor(&b, "p3", "q2", 3.0);
    build_resistor(&b, "q2", "q3", 4.0);
    build_resistor(&b, "q3", "top", 1.0);
    sl_part i3 = build_resistor(&b, "top", "p2", 1.0);
    build_solve(&b);
    check("W3 I1", build_amps(&b, i1), 0.2, "0.20");
    check("W3 I2", build_amps(&b, i2), 0.3, "0.30");
    check("W3 I3", build_amps(&b, i3), 0.5, "0.50");
    check("W3 P of R1", build_watts(&b, i1), 0.04, "0.04");
    build_free(&b);
}

/* W4: OpenStax College Physics ch. 21; its equations verified, their solution computed. */
static void w4_junction_of_three(void **state)
{
    (void)state;
    build b = grounded(); /* 3 I2 + 6 I1 = 18; 6 I1 + 2 I3 = 45; I1 = I2 + I3 */
    sl_part i1 = build_resistor(&b, "top", "0", 6.0);
    build_voltage(&b, "p2", "0", 18.0);
    sl_part i2 = build_resistor(&b, "p2", "q2", 2.5);
    build_resistor(&b, "q2", "top", 0.5);
    build_voltage(&b, "p3", "0", 45.0);
    sl_part i3 = build_resistor(&b, "p3", "q3", 1.5);
    build_resistor(&b, "q3", "top", 0.5);
    build_solve(&b);
    check("W4 I1", build_amps(&b, i1), 4.75, "4.75");
    check("W4 I2", build_amps(&b, i2), -3.5, "-3.50");
    check("W4 I3", build_amps(&b, i3), 8.25, "8.25");
    build_free(&b);
}

/* W5: Lessons In Electric Circuits vol. I, ch. 10; 8 V and 5 A verified, its Thevenin and Norton
   values from memory. */
static void w5_network_of_two_batteries(void **state)
{
    (void)state;
    build b = grounded();
    build_voltage(&b, "28", "0", 28.0);
    build_voltage(&b, "7", "0", 7.0);
    sl_part r28 = build_resistor(&b, "28", "top", 4.0);
    sl_part r7 = build_resistor(&b, "7", "top", 1.0);
    sl_part load = build_resistor(&b, "top", "0", 2.0);
    build_solve(&b);
    check("W5 V", build_volts(&b, "top"), 8.0, "8");
    check("W5 I of 28 V", build_amps(&b, r28), 5.0, "5");
    check("W5 I of the load", build_amps(&b, load), 4.0, NULL);
    check("W5 I of 7 V", build_amps(&b, r7), -1.0, "-1");
    build_open(&b, load);
    build_solve(&b);
    check("W5t V_th", build_volts(&b, "top"), 11.2, "11.2");
    build_healthy(&b);
    build_set(&b, load, "resistance", 0.0);
    build_solve(&b);
    check("W5t I_N", build_amps(&b, load), 14.0, "14");
    build_free(&b);
}

static void w5_resistance_at_the_load(void **state)
{
    (void)state;
    build b = grounded();
    build_voltage(&b, "28", "0", 0.0);
    build_voltage(&b, "7", "0", 0.0);
    build_resistor(&b, "28", "top", 4.0);
    build_resistor(&b, "7", "top", 1.0);
    double ohms = build_ohms(&b, sl_circuit_find_node(b.circuit, "top"),
                             sl_circuit_find_node(b.circuit, "0"));
    check("W5t R_th", ohms, 0.8, "0.8");
    build_free(&b);
}

/* W6: the same book, bridge; from memory, computed again. */
static void w6_bridge(void **state)
{
    (void)state;
    build b = grounded();
    sl_part source = build_voltage(&b, "s", "0", 24.0);
    build_resistor(&b, "s", "l", 150.0);
    sl_part r50 = build_resistor(&b, "s", "r", 50.0);
    build_resistor(&b, "l", "r", 100.0);
    build_resistor(&b, "l", "0", 300.0);
    sl_part r250 = build_resistor(&b, "r", "0", 250.0);
    build_solve(&b);
    double total = 24.0 * 37.0 / 6525.0;
    check("W6 I", -build_amps(&b, source), total, "0.136092");
    check("W6 V_l", build_volts(&b, "l"), 512.0 / 29.0, "17.65517241");
    check("W6 V_r", build_volts(&b, "r"), 560.0 / 29.0, "19.31034483");
    check("W6 I of 50 ohm", build_amps(&b, r50), (24.0 - 560.0 / 29.0) / 50.0, "0.093793");
    check("W6 I of 250 ohm", build_amps(&b, r250), 560.0 / 29.0 / 250.0, "0.077241");
    check("W6 R", build_volts(&b, "s") / -build_amps(&b, source), 6525.0 / 37.0, "176.3513514");
    build_free(&b);
}

/* W7: DOE-HDBK-1011/1, module ES-02, p. 57, Figure 45; its equation verified, the answer computed.
 */
static void w7_node_voltage(void **state)
{
    (void)state;
    build b = grounded();
    build_voltage(&b, "A", "0", 60.0);
    build_voltage(&b, "B", "0", 20.0);
    sl_part ia = build_resistor(&b, "A", "N", 8.0);
    sl_part ib = build_resistor(&b, "B", "N", 4.0);
    sl_part i6 = build_resistor(&b, "N", "0", 6.0);
    build_solve(&b);
    check("W7 V_N", build_volts(&b, "N"), 300.0 / 13.0, "23.077");
    check("W7 I_A", build_amps(&b, ia), 60.0 / 13.0, "4.61538462");
    check("W7 I_B", build_amps(&b, ib), -10.0 / 13.0, "-0.76923077");
    check("W7 I of 6 ohm", build_amps(&b, i6), 50.0 / 13.0, "3.84615385");
    build_free(&b);
}

/* W8: OpenStax University Physics vol. 2, section 10.3; verified. W9: OpenStax College Physics
   ch. 21; printed values from memory, computed again. */
static void w8_w9_series_and_parallel(void **state)
{
    (void)state;
    static const struct {
        const char *label, *printed;
        double ohm[3], amps;
    } rows[] = {{"W8 I", "2.00", {1.0, 2.0, 3.0}, 2.0}, {"W9 I", "0.600", {1.0, 6.0, 13.0}, 0.6}};
    for (size_t k = 0; k < sizeof rows / sizeof *rows; k++) {
        build b = grounded();
        build_voltage(&b, "a", "0", 12.0);
        sl_part first = build_resistor(&b, "a", "b", rows[k].ohm[0]);
        build_resistor(&b, "b", "c", rows[k].ohm[1]);
        build_resistor(&b, "c", "0", rows[k].ohm[2]);
        build_solve(&b);
        check(rows[k].label, build_amps(&b, first), rows[k].amps, rows[k].printed);
        build_free(&b);
    }
    build parallel = grounded();
    sl_part source = build_voltage(&parallel, "a", "0", 12.0);
    build_resistor(&parallel, "a", "0", 1.0);
    build_resistor(&parallel, "a", "0", 6.0);
    build_resistor(&parallel, "a", "0", 13.0);
    build_solve(&parallel);
    check("W9 R_p", -12.0 / build_amps(&parallel, source), 78.0 / 97.0, "0.804");
    check("W9 I total", -build_amps(&parallel, source), 12.0 * 97.0 / 78.0, "14.92");
    build_free(&parallel);
}

static void w9_series_parallel(void **state)
{
    (void)state;
    build b = grounded();
    build_voltage(&b, "a", "0", 12.0);
    sl_part r1 = build_resistor(&b, "a", "b", 1.0);
    sl_part r6 = build_resistor(&b, "b", "0", 6.0);
    build_resistor(&b, "b", "0", 13.0);
    build_solve(&b);
    double total = 12.0 * 19.0 / 97.0;
    check("W9 R", 12.0 / build_amps(&b, r1), 97.0 / 19.0, "5.11");
    check("W9 drop of 1 ohm", build_drop(&b, r1), total, "2.35");
    check("W9 I of 6 ohm", build_amps(&b, r6), total * 13.0 / 19.0, "1.61");
    check("W9 P of 6 ohm", build_watts(&b, r6), 6.0 * pow(total * 13.0 / 19.0, 2.0), "15.5");
    build_free(&b);
}

/* W10: own example, a jump start by Millman's theorem. */
static void w10_two_batteries_in_parallel(void **state)
{
    (void)state;
    build b = grounded();
    build_voltage(&b, "e1", "0", 12.6);
    build_voltage(&b, "e2", "0", 11.8);
    build_resistor(&b, "e1", "bus", 8e-3);
    build_resistor(&b, "e2", "bus", 12e-3);
    sl_part load = build_current(&b, "0", "bus", 150.0);
    build_open(&b, load);
    build_solve(&b);
    check("W10 V", build_volts(&b, "bus"), 12.28, "12.28");
    build_healthy(&b);
    build_solve(&b);
    check("W10 V at 150 A", build_volts(&b, "bus"), 11.56, "11.56");
    build_free(&b);
}

/* W11: own example, the most that 12.6 V behind 0.1 ohm can give. */
static void w11_greatest_power(void **state)
{
    (void)state;
    build b = grounded();
    build_voltage(&b, "e", "0", 12.6);
    build_resistor(&b, "e", "post", 0.1);
    sl_part load = build_resistor(&b, "post", "0", 0.1);
    build_solve(&b);
    check("W11 P", build_watts(&b, load), 396.9, "396.9");
    static const double other[] = {0.05, 0.09, 0.11, 0.2};
    for (size_t k = 0; k < sizeof other / sizeof *other; k++) {
        build_set(&b, load, "resistance", other[k]);
        build_solve(&b);
        assert_true(build_watts(&b, load) < 396.9);
    }
    build_free(&b);
}

/* W12: own example, unbalanced bridge. */
static void w12_unbalanced_bridge(void **state)
{
    (void)state;
    build b = grounded();
    sl_part source = build_voltage(&b, "s", "0", 1.0);
    build_resistor(&b, "s", "l", 1.0);
    build_resistor(&b, "s", "r", 2.0);
    build_resistor(&b, "l", "r", 3.0);
    build_resistor(&b, "l", "0", 4.0);
    build_resistor(&b, "r", "0", 5.0);
    build_solve(&b);
    check("W12 V_l", build_volts(&b, "l"), 48.0 / 61.0, "0.7868852459");
    check("W12 V_r", build_volts(&b, "r"), 45.0 / 61.0, "0.737704918");
    check("W12 R", -1.0 / build_amps(&b, source), 61.0 / 21.0, "2.904761905");
    build_free(&b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(w1_terminal_voltage),
        cmocka_unit_test(w2_two_sources),
        cmocka_unit_test(w3_three_loops),
        cmocka_unit_test(w4_junction_of_three),
        cmocka_unit_test(w5_network_of_two_batteries),
        cmocka_unit_test(w5_resistance_at_the_load),
        cmocka_unit_test(w6_bridge),
        cmocka_unit_test(w7_node_voltage),
        cmocka_unit_test(w8_w9_series_and_parallel),
        cmocka_unit_test(w9_series_parallel),
        cmocka_unit_test(w10_two_batteries_in_parallel),
        cmocka_unit_test(w11_greatest_power),
        cmocka_unit_test(w12_unbalanced_bridge),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
