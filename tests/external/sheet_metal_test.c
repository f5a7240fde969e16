/* Panels against formulas of the textbooks for a uniform sheet. */
#include "build.h"
#include "near.h"

#include "strapline/panel.h"

/* A stud that is a disc. */
#define DISC(node, x, y, diameter)                                                                 \
    {                                                                                              \
        node, x, y, diameter, 0.0, 0.0                                                             \
    }

static const double PI = 3.14159265358979323846;
static const double STEEL_OHM_M =
    1.43e-7; /* low-carbon body steel, from memory, as in the library */

static build with_panel(const sl_panel_shape *shape, double thickness_m)
{
    build b = build_start();
    double values[16];
    for (int k = 0; k < 16; k++) {
        values[k] = NAN;
    }
    values[build_param(sl_kind_find("sheet"), "thickness")] = thickness_m;
    const sl_panel_def def = {.name = "P", .shape = shape, .values = values};
    sl_panel panel = -1;
    if (sl_circuit_add_panel(b.circuit, &def, &panel) != SL_OK) {
        fail_msg("%s", sl_circuit_message(b.circuit));
    }
    return b;
}

/* Resistance between two studs of a panel, in squares. */
static double squares(const sl_panel_shape *shape, const char *a, const char *c)
{
    build b = with_panel(shape, 1e-3);
    build_reference(&b, a);
    const double ohm =
        build_ohms(&b, sl_circuit_find_node(b.circuit, a), sl_circuit_find_node(b.circuit, c));
    build_free(&b);
    return ohm * 1e-3 / STEEL_OHM_M;
}

/* Between whole edges the field is uniform, and the mesh has it exactly: R = rho L / (W t). */
static void edge_to_edge_is_length_over_width(void **unused)
{
    (void)unused;
    const double size[][2] = {{1.4, 0.6}, {0.37, 2.2}, {1.0, 1.0}};
    for (size_t k = 0; k < sizeof size / sizeof *size; k++) {
        const double w = size[k][0], h = size[k][1];
        const sl_stud studs[] = {{"left", 0.0, 0.5 * h, 0, 0, h}, {"right", w, 0.5 * h, 0, 0, h}};
        const sl_panel_shape shape = {
            .width_m = w, .height_m = h, .mesh_m = 0.013, .studs = studs, .stud_count = 2};
        build b = with_panel(&shape, 0.7e-3);
        build_reference(&b, "left");
        const double ohm = build_ohms(&b, sl_circuit_find_node(b.circuit, "left"),
                                      sl_circuit_find_node(b.circuit, "right"));
        assert_near("rho L / (W t)", ohm, STEEL_OHM_M * w / (h * 0.7e-3), 1e-12);
        build_free(&b);
    }
}

/* ln |sin(a + i b)| */
static double ln_sin(double a, double b)
{
    return 0.5 * log(sin(a) * sin(a) + sinh(b) * sinh(b));
}

/* What the rim adds, in squares, between two contacts at a distance d in the middle of a sheet w by
   h, on a line along w. By images: those of one contact, at x, stand at 2 m w + x and 2 m w - x in
   every row n h, and all carry what it carries. The sum of their logarithms over m is that of the
   factors of a sine. */
static double images(double w, double h, double d)
{
    const double k = PI / (2.0 * w);
    double sum = log(sin(k * d) / (k * d)) - log(sin(k * (w - d)));
    for (int n = 1; n <= 30; n++) {
        const double b = k * n * h;
        sum +=
            2.0 * (ln_sin(k * d, b) - ln_sin(0.0, b) + ln_sin(k * w, b) - ln_sin(k * (w - d), b));
    }
    return sum / PI;
}

/* Two discs of diameter 2 a at a distance d in a large sheet: (1/pi) acosh(d / 2 a) squares, the
   two-cylinder formula of the textbooks, from memory; with what the rim adds by images. */
static void two_discs_have_the_resistance_of_two_cylinders(void **unused)
{
    (void)unused;
    const double w = 2.0, h = 1.6, a = 0.02;
    const double distance[] = {0.16, 0.3, 0.6};
    for (size_t k = 0; k < sizeof distance / sizeof *distance; k++) {
        const double d = distance[k];
        const sl_stud studs[] = {DISC("A", 0.5 * (w - d), 0.5 * h, 2.0 * a),
                                 DISC("B", 0.5 * (w + d), 0.5 * h, 2.0 * a)};
        const sl_panel_shape shape = {
            .width_m = w, .height_m = h, .mesh_m = a / 5.0, .studs = studs, .stud_count = 2};
        const double bare = acosh(d / (2.0 * a)) / PI;
        const double rim = images(w, h, d);
        assert_true(fabs(rim) < 0.3 * bare);
        assert_near("two discs", squares(&shape, "A", "B"), bare + rim, 2e-3);
    }
}

/* L. J. van der Pauw, Philips Research Reports 13 (1958) 1-9: for four small contacts on the edge
   of a sheet of any outline without holes, exp(-pi R1 / Rs) + exp(-pi R2 / Rs) = 1, where R1 is the
   voltage C to D over the current A to B and R2 that of D to A over that of B to C. Here a cut at
   the edge makes the outline odd. A contact of size s at distance d is off by (s / d)^2 or so. */
static void four_contacts_on_the_edge_obey_van_der_pauw(void **unused)
{
    (void)unused;
    const sl_stud studs[] = {DISC("A", 0.0, 0.22, 8e-3), DISC("B", 0.5, 0.0, 8e-3),
                             DISC("C", 1.0, 0.43, 8e-3), DISC("D", 0.31, 0.7, 8e-3)};
    const sl_cutout notch[] = {{0.6, 0.5, 0.2, 0.2}};
    for (int32_t cuts = 0; cuts <= 1; cuts++) {
        const sl_panel_shape shape = {.width_m = 1.0,
                                      .height_m = 0.7,
                                      .mesh_m = 2.5e-3,
                                      .studs = studs,
                                      .stud_count = 4,
                                      .cutouts = notch,
                                      .cutout_count = cuts};
        const char *order[] = {"A", "B", "C", "D", "A"};
        double r[2];
        for (int turn = 0; turn < 2; turn++) {
            build b = with_panel(&shape, 1e-3);
            build_reference(&b, "A");
            build_current(&b, order[turn + 1], order[turn], 1.0);
            build_solve(&b);
            r[turn] =
                fabs(build_across(&b, order[turn + 2], order[(turn + 3) % 4])) * 1e-3 / STEEL_OHM_M;
            build_free(&b);
        }
        assert_near("van der Pauw", exp(-PI * r[0]) + exp(-PI * r[1]), 1.0, 5e-4);
    }
}

/* The mesh of itself is what include/strapline/panel.h says: no worse than 1 % at 3 cells a stud,
   wherever the studs lie between its lines. */
static void the_mesh_is_as_good_as_it_says(void **unused)
{
    (void)unused;
    const double step[] = {2.0, 3.0, 6.0}, most[] = {0.025, 0.01, 0.003};
    for (int place = 0; place < 3; place++) {
        const double x = 0.2 + 0.0131 * place, y = 0.15 + 0.0173 * place, size = 0.024;
        const sl_stud studs[] = {DISC("A", x, y, size),
                                 DISC("B", x + 4.0 * size + 0.05 * place, y + 0.03 * place, size)};
        sl_panel_shape shape = {.width_m = 0.9,
                                .height_m = 0.6,
                                .mesh_m = size / 18.0,
                                .studs = studs,
                                .stud_count = 2};
        const double fine = squares(&shape, "A", "B");
        for (int k = 0; k < 3; k++) {
            shape.mesh_m = size / step[k];
            assert_at_most("mesh", fabs(squares(&shape, "A", "B") / fine - 1.0), most[k]);
        }
        shape.mesh_m = 0.0;
        assert_at_most("mesh when not said", fabs(squares(&shape, "A", "B") / fine - 1.0), 0.01);
    }
}

/* Geometry alone decides: a panel twice as large, and one turned over, are the same in squares. */
static void size_and_side_do_not_matter(void **unused)
{
    (void)unused;
    const sl_stud studs[] = {DISC("A", 0.2, 0.1, 0.03), DISC("B", 0.7, 0.4, 0.03),
                             DISC("C", 0.3, 0.5, 0.05)};
    const sl_stud large[] = {DISC("A", 0.4, 0.2, 0.06), DISC("B", 1.4, 0.8, 0.06),
                             DISC("C", 0.6, 1.0, 0.1)};
    const sl_stud over[] = {DISC("C", 0.7, 0.5, 0.05), DISC("B", 0.3, 0.4, 0.03),
                            DISC("A", 0.8, 0.1, 0.03)};
    const sl_panel_shape as_is = {1.0, 0.6, 0.009, studs, 3, NULL, 0};
    const sl_panel_shape twice = {2.0, 1.2, 0.018, large, 3, NULL, 0};
    const sl_panel_shape turned = {1.0, 0.6, 0.009, over, 3, NULL, 0};
    const double wanted = squares(&as_is, "A", "B");
    assert_near("twice as large", squares(&twice, "A", "B"), wanted, 1e-12);
    assert_near("turned over", squares(&turned, "A", "B"), wanted, 1e-10);
}

/* Rayleigh: what takes metal away never lowers a resistance, what adds a contact never raises it.
 */
static void less_metal_is_more_resistance(void **unused)
{
    (void)unused;
    const sl_stud studs[] = {DISC("A", 0.2, 0.1, 0.03), DISC("B", 0.8, 0.4, 0.03),
                             DISC("C", 0.5, 0.3, 0.2)};
    const sl_cutout cutouts[] = {{0.4, 0.1, 0.1, 0.3}, {0.6, 0.0, 0.05, 0.5}, {0.1, 0.3, 0.2, 0.1}};
    sl_panel_shape shape = {1.0, 0.6, 0.01, studs, 2, cutouts, 0};
    double before = squares(&shape, "A", "B");
    shape.stud_count = 3;
    assert_true(squares(&shape, "A", "B") < before);
    shape.stud_count = 2;
    for (shape.cutout_count = 1; shape.cutout_count <= 3; shape.cutout_count++) {
        const double with = squares(&shape, "A", "B");
        assert_true(with > before);
        before = with;
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(edge_to_edge_is_length_over_width),
        cmocka_unit_test(two_discs_have_the_resistance_of_two_cylinders),
        cmocka_unit_test(four_contacts_on_the_edge_obey_van_der_pauw),
        cmocka_unit_test(the_mesh_is_as_good_as_it_says),
        cmocka_unit_test(size_and_side_do_not_matter),
        cmocka_unit_test(less_metal_is_more_resistance),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
