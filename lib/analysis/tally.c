/* lib/analysis/tally.c: mean, deviation and percentiles of a stream.

   Mean and squares: B. P. Welford, Technometrics 4 (1962) 419-420. */
#include "analysis/tally.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* The range of the first numbers and as much on either side. */
#define RANGES 3.0
/* Numbers that are all alike still get steps, this share of their size wide in all. */
#define WIDTH_LEAST 1e-9

static void count(sl__tally *t, double value)
{
    const double at = (value - t->from) / t->step;
    if (at < 0.0) {
        t->below++;
    } else if (at >= SL__TALLY_STEPS) {
        t->above++;
    } else {
        t->in[(int32_t)at]++;
    }
}

/* The kept numbers set the steps and go into them. */
static void set_steps(sl__tally *t)
{
    const double size = fmax(fabs(t->least), fabs(t->greatest));
    const double width = fmax(t->greatest - t->least, WIDTH_LEAST * size + 1e-300);
    t->from = t->least - (RANGES - 1.0) / 2.0 * width;
    t->step = RANGES * width / SL__TALLY_STEPS;
    for (int32_t k = 0; k < SL__TALLY_FIRST; k++) {
        count(t, t->first[k]);
    }
}

void sl__tally_add(sl__tally *t, double value)
{
    t->least = t->count == 0 ? value : fmin(t->least, value);
    t->greatest = t->count == 0 ? value : fmax(t->greatest, value);
    if (t->count < SL__TALLY_FIRST) {
        t->first[t->count] = value;
    } else {
        if (t->count == SL__TALLY_FIRST) {
            set_steps(t);
        }
        count(t, value);
    }
    t->count++;
    const double off = value - t->mean;
    t->mean += off / (double)t->count;
    t->square += off * (value - t->mean);
}

double sl__tally_deviation(const sl__tally *t)
{
    return t->count < 2 ? 0.0 : sqrt(t->square / (double)(t->count - 1));
}

static int by_size(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Between two of the kept numbers, by rank. */
static double kept_percentile(const sl__tally *t, double share)
{
    double sorted[SL__TALLY_FIRST];
    memcpy(sorted, t->first, (size_t)t->count * sizeof *sorted);
    qsort(sorted, (size_t)t->count, sizeof *sorted, by_size);
    const double rank = share * (double)(t->count - 1);
    const int32_t below = (int32_t)rank;
    const int32_t next = below + 1 < t->count ? below + 1 : below;
    return sorted[below] + (rank - below) * (sorted[next] - sorted[below]);
}

/* A straight line over the numbers of one step. */
static double within(double low, double high, double wanted, int64_t there)
{
    return low + (high - low) * wanted / (double)there;
}

double sl__tally_percentile(const sl__tally *t, double share)
{
    if (t->count == 0) {
        return NAN;
    }
    if (t->count <= SL__TALLY_FIRST) {
        return kept_percentile(t, share);
    }
    double left = share * (double)t->count;
    if (left <= (double)t->below && t->below > 0) {
        return within(t->least, t->from, left, t->below);
    }
    left -= (double)t->below;
    for (int32_t k = 0; k < SL__TALLY_STEPS; k++) {
        if (t->in[k] > 0 && left <= (double)t->in[k]) {
            const double low = fmax(t->from + k * t->step, t->least);
            const double high = fmin(t->from + (k + 1) * t->step, t->greatest);
            return within(low, high, left, t->in[k]);
        }
        left -= (double)t->in[k];
    }
    const double top = t->from + SL__TALLY_STEPS * t->step;
    return t->above > 0 ? within(top, t->greatest, fmin(left, (double)t->above), t->above)
                        : t->greatest;
}
