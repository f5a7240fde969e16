/* tests/unit/whatif_test.c: closed forms, many at a time: every variant that this processor has is,
   to the last bit, the formula for one reading in one degree, and writes nothing else. */
#include "near.h"
#include "netgen.h"
#include "numeric/whatif.h"
#include "truth.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { DEGREES = 70, READINGS = 131, ROOM = 136, MARK = 7 };

/* Every number of degrees up to some, and then a few. */
static int32_t next_count(int32_t count)
{
    return count < 20 ? count + 1 : count + 25;
}

static void currents(void **state)
{
    (void)state;
    uint64_t random = 5;
    for (int32_t n = 0; n < 40; n++) {
        const sl__whatif branch = {netgen_uniform(&random, -9.0, 9.0),
                                   netgen_log_uniform(&random, 1e-7, 1e5),
                                   n % 5 == 3 ? 0.0 : netgen_uniform(&random, 0.0, 1.0)};
        const double apart = netgen_uniform(&random, -9.0, 9.0);
        const double between = n % 7 == 0 ? 0.0 : netgen_log_uniform(&random, 1e-3, 1e5);
        double ohm[DEGREES], t[DEGREES + 1], least, greatest;
        for (int32_t c = 0; c < DEGREES; c++) {
            ohm[c] = netgen_log_uniform(&random, 1e-6, 1e12);
        }
        for (int32_t kernel = 1; kernel <= sl__lane_kernels(); kernel++) {
            for (int32_t count = 1; count <= DEGREES; count = next_count(count)) {
                double low = INFINITY, high = -INFINITY;
                t[count] = MARK;
                sl__whatif_series(kernel, &branch, count, ohm, t);
                sl__whatif_range(kernel, count, t, &least, &greatest);
                for (int32_t c = 0; c < count; c++) {
                    const double ratio = branch.siemens * ohm[c];
                    const double want = branch.amp * ratio / (1.0 + branch.rest * ratio);
                    assert_true(t[c] == want);
                    low = fmin(low, want);
                    high = fmax(high, want);
                }
                assert_true(least == low && greatest == high);
                sl__whatif_across(kernel, apart, between, count, ohm, t);
                for (int32_t c = 0; c < count; c++) {
                    assert_true(t[c] == -apart / (ohm[c] + between));
                }
                assert_true(t[count] == MARK);
            }
        }
    }
}

/* Readings and room for vectors; what is no reading has no base. */
typedef struct readings {
    double base[ROOM], w[ROOM];
} readings;

static readings readings_of(int32_t count, uint64_t *random)
{
    readings of;
    for (int32_t r = 0; r < ROOM; r++) {
        of.base[r] = r < count ? netgen_uniform(random, -12.0, 12.0) : NAN;
        of.w[r] = netgen_uniform(random, -1.0, 1.0);
    }
    return of;
}

static void rows(void **state)
{
    (void)state;
    enum { COUNT = 26, BEFORE = 9 };
    uint64_t random = 6;
    double t[COUNT];
    for (int32_t c = 0; c < COUNT; c++) {
        t[c] = netgen_uniform(&random, -3.0, 3.0);
    }
    for (int32_t count = 1; count <= READINGS; count = next_count(count)) {
        const readings of = readings_of(count, &random);
        for (int32_t n = 0; n < 2 * sl__lane_kernels(); n++) {
            const int32_t room = BEFORE + COUNT * count + 1, kernel = 1 + n / 2;
            double *out = malloc((size_t)room * sizeof *out);
            assert_non_null(out);
            for (int32_t k = 0; k < room; k++) {
                out[k] = MARK;
            }
            double *to = out + netgen_below(&random, BEFORE + 1);
            sl__whatif_rows(kernel, count, of.base, of.w, COUNT, t, n % 2 == 1, to);
            sl__whatif_finish();
            for (double *at = out; at < out + room; at++) {
                const ptrdiff_t k = at - to, r = k % count;
                const bool inside = k >= 0 && k < (ptrdiff_t)COUNT * count;
                assert_true(*at == (inside ? of.base[r] + t[k / count] * of.w[r] : MARK));
            }
            free(out);
        }
    }
}

static void differences(void **state)
{
    (void)state;
    uint64_t random = 7;
    const readings a = readings_of(READINGS, &random), b = readings_of(READINGS, &random);
    const sl__whatif_row from = {a.base, a.w}, to = {b.base, b.w};
    for (int32_t kernel = 1; kernel <= sl__lane_kernels(); kernel++) {
        double w[ROOM];
        sl__whatif_w(kernel, READINGS, &from, &to, w);
        for (int32_t r = 0; r < READINGS; r++) {
            assert_true(w[r] == (a.base[r] - b.base[r]) + (a.w[r] - b.w[r]));
        }
    }
}

/* Is so much left of a reading at both ends, on one side of 0? */
static bool cancels(double base, double w, double least, double greatest, double share)
{
    const double one = base + least * w, other = base + greatest * w;
    const double size = share * (fabs(base) + fabs(least * w) + fabs(greatest * w));
    return (one < size || other < size) && (one > -size || other > -size);
}

static void cancelling(void **state)
{
    (void)state;
    uint64_t random = 8;
    int32_t found = 0;
    for (int32_t n = 0; n < 300; n++) {
        const int32_t count = 1 + netgen_below(&random, READINGS);
        readings of = readings_of(count, &random);
        const double least = netgen_uniform(&random, -9.0, 1.0);
        const double greatest = least + netgen_uniform(&random, 0.0, 9.0);
        const double share = n % 10 == 0 ? INFINITY : netgen_log_uniform(&random, 1e-5, 0.1);
        of.base[netgen_below(&random, count)] = 0.0;
        of.base[netgen_below(&random, count)] = NAN;
        for (int32_t kernel = 1; kernel <= sl__lane_kernels(); kernel++) {
            int32_t which[READINGS], listed = 0;
            const int32_t all =
                sl__whatif_cancelling(kernel, count, of.base, of.w, least, greatest, share, which);
            for (int32_t r = 0; r < count; r++) {
                const bool here = listed < all && which[listed] == r;
                const bool want =
                    !isnan(of.base[r]) && cancels(of.base[r], of.w[r], least, greatest, share);
                assert_true(here == want);
                listed += here;
            }
            assert_int_equal(listed, all);
            found += all;
        }
    }
    assert_true(found > 1000);
}

/* Values that are left of a change, from all of it to less than its doubt. */
static void sound(void **state)
{
    (void)state;
    uint64_t random = 9;
    int32_t not_sound = 0;
    for (int32_t n = 0; n < 4000; n++) {
        const int32_t count = 1 + netgen_below(&random, DEGREES);
        const sl__whatif_doubt doubt = {netgen_log_uniform(&random, 1e-15, 1e-11), 3e-10, 3e-13};
        const double base = n % 20 == 0 ? 0.0 : netgen_uniform(&random, -12.0, 12.0);
        const double w = netgen_uniform(&random, -1.0, 1.0);
        double t[DEGREES];
        bool want = true;
        for (int32_t c = 0; c < count; c++) {
            t[c] = netgen_uniform(&random, -3.0, 3.0);
        }
        if (n % 2 == 0) { /* one that cancels */
            t[netgen_below(&random, count)] =
                -base / w * (1.0 - netgen_log_uniform(&random, 1e-16, 1e-2));
        }
        for (int32_t c = 0; c < count; c++) {
            const double change = t[c] * w, size = fabs(base + change);
            const double off = doubt.of_change * fabs(change);
            want =
                want && off <= doubt.of_value * size + doubt.least && (off < size || size == 0.0);
        }
        for (int32_t kernel = 1; kernel <= sl__lane_kernels(); kernel++) {
            assert_true(sl__whatif_sound(kernel, base, w, count, t, &doubt) == want);
        }
        not_sound += !want;
    }
    assert_in_range(not_sound, 500, 3500);
}

/* The two currents of a pair, in arithmetic of 34 digits, and what they are made of. */
typedef struct both {
    wide t[2], left;
} both;

static both both_of(const sl__whatif_pair *pair, double per_v)
{
    const wide z = pair->both_ohm, q0 = per_v, q1 = pair->other_per_v;
    const wide e0 = pair->volt, e1 = pair->other_volt, left = 1 - q0 * z * q1 * z;
    return (both){{q0 * (e0 + z * q1 * e1) / left, q1 * (e1 + z * q0 * e0) / left}, left};
}

static void pairs(void **state)
{
    (void)state;
    uint64_t random = 10;
    int32_t close = 0;
    for (int32_t n = 0; n < 400; n++) {
        const int32_t count = 1 + netgen_below(&random, DEGREES);
        sl__whatif_pair pair = {netgen_uniform(&random, -12.0, 12.0),
                                netgen_uniform(&random, -12.0, 12.0),
                                netgen_log_uniform(&random, 1e-4, 1e4), 0.0};
        double per_v[DEGREES], room[4][DEGREES + 1];
        double first[4][DEGREES];
        for (int32_t c = 0; c < count; c++) {
            per_v[c] = netgen_log_uniform(&random, 1e-4, 1e4);
        }
        /* the first degree comes as near to cutting something off as may be */
        const double left = netgen_log_uniform(&random, 1e-12, 1.0);
        pair.both_ohm = sqrt((1.0 - left) / per_v[0] / pair.other_per_v);
        const sl__whatif_two two = {{room[0], room[1]}, {room[2], room[3]}};
        for (int32_t kernel = 1; kernel <= sl__lane_kernels(); kernel++) {
            for (int k = 0; k < 4; k++) {
                room[k][count] = MARK;
            }
            sl__whatif_pairs(kernel, &pair, count, per_v, &two);
            for (int k = 0; k < 4; k++) {
                if (kernel == 1) {
                    memcpy(first[k], room[k], (size_t)count * sizeof **room);
                }
                assert_memory_equal(first[k], room[k], (size_t)count * sizeof **room);
                assert_true(room[k][count] == MARK);
            }
        }
        for (int32_t c = 0; c < count; c++) {
            const both want = both_of(&pair, per_v[c]);
            for (int k = 0; k < 2; k++) {
                const double off = fabs((double)((wide)room[k][c] - want.t[k]));
                assert_true(!(off > 3.0 * 4.0 * 2.3e-16 * room[2 + k][c]));
                assert_true(isfinite(room[2 + k][c]) == ((double)want.left > 1e-9));
            }
            close += (double)want.left < 1e-3 && (double)want.left > 0.0;
        }
    }
    assert_true(close > 100);
}

static void rows_of_pairs(void **state)
{
    (void)state;
    enum { COUNT = 13 };
    uint64_t random = 11;
    int32_t unknown = 0, zeros = 0;
    for (int32_t count = 1; count <= READINGS; count = next_count(count)) {
        readings of = readings_of(count, &random), more = readings_of(count, &random);
        double t[2][COUNT], size[2][COUNT];
        for (int32_t c = 0; c < COUNT; c++) {
            for (int k = 0; k < 2; k++) {
                t[k][c] = netgen_uniform(&random, -3.0, 3.0);
                size[k][c] = fabs(t[k][c]) * netgen_uniform(&random, 1.0, 9.0);
            }
            if (c % 3 == 0) { /* a reading that cancels */
                const int32_t r = netgen_below(&random, count);
                t[0][c] = -(of.base[r] + t[1][c] * more.w[r]) / of.w[r];
                t[0][c] *= 1.0 - (c % 2 ? 0.0 : netgen_log_uniform(&random, 1e-16, 1e-6));
                size[0][c] = fabs(t[0][c]) * (c == 9 ? INFINITY : 2.0);
            }
        }
        of.base[netgen_below(&random, count)] = count > 5 ? NAN : 1.0;
        const sl__whatif_two two = {{t[0], t[1]}, {size[0], size[1]}};
        const sl__whatif_doubt doubt = {netgen_log_uniform(&random, 1e-15, 1e-12), 3e-10, 3e-13};
        const double *const w[2] = {of.w, more.w};
        for (int32_t kernel = 1; kernel <= sl__lane_kernels(); kernel++) {
            double *out = malloc(((size_t)count * COUNT + 1) * sizeof *out);
            assert_non_null(out);
            bool known[COUNT];
            memset(known, true, sizeof known);
            out[count * COUNT] = MARK;
            sl__whatif_pair_rows(kernel, count, of.base, w, COUNT, &two, &doubt, out, known);
            for (int32_t c = 0; c < COUNT; c++) {
                bool want = true;
                for (int32_t r = 0; r < count; r++) {
                    const double v = (of.base[r] + t[0][c] * of.w[r]) + t[1][c] * more.w[r];
                    const double off = doubt.of_change * size[0][c] * fabs(of.w[r]) +
                                       doubt.of_change * size[1][c] * fabs(more.w[r]);
                    const double got = out[c * count + r];
                    assert_true(got == (fabs(v) <= off ? 0.0 : v) || (isnan(got) && isnan(v)));
                    want = want && (isnan(v) || off <= doubt.of_value * fabs(v) + doubt.least);
                    zeros += got == 0.0;
                }
                assert_true(known[c] == want);
                unknown += !want;
            }
            assert_true(out[count * COUNT] == MARK);
            free(out);
        }
    }
    assert_true(unknown > 20 && zeros > 5);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(currents),      cmocka_unit_test(rows),  cmocka_unit_test(differences),
        cmocka_unit_test(cancelling),    cmocka_unit_test(sound), cmocka_unit_test(pairs),
        cmocka_unit_test(rows_of_pairs),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
