/* lib/solve/trim.c: parts that adjust themselves: a regulator that holds a voltage somewhere else,
   a conductor that warms with its own current.

   Each has one parameter x that ought to equal what the part itself makes of the solution, F(x).
   All of them are stepped together, each along the secant of its own last two errors F(x) - x. That
   does where each mostly depends on itself; regulators that hold the same voltage depend on each
   other, and for those Newton's steps follow, their slopes found by trying. */
#include <math.h>
#include <string.h>

#include "numeric/dense.h"
#include "solve/near.h"

#define ROUNDS_MOST 60
/* After this many rounds of secants, Newton's steps. */
#define SECANTS_MOST 24
/* An x is right when F(x) differs by less than this share of it, or of 1. */
#define CLOSE 1e-11
/* One that is not right to the last places takes one step more: a source without resistance drives
   a current without limit by what it is off. */
#define CLOSEST 1e-15
/* A secant step may be this many times the plain step F(x) - x, or the last step. */
#define STRETCH_MOST 20.0
/* An error that changes by less than this share of it over a step is not moved by it. */
#define UNMOVED 1e-9
/* Newton's steps move the parts that are furthest out, this many at most. */
#define TOGETHER_MOST 8
/* An x is moved by this share of it, or of 1, to find a slope. */
#define TRY 1e-6
/* A step of Newton's beyond this, times its error or 1, is not believed. */
#define FAR 1e3

static double *trimmed(sl_case *cs, sl_part part)
{
    int32_t own = cs->circuit->parts.names.count;
    const sl__part *record = sl__case_part(cs, part);
    int32_t at = record->value_at + (part < own ? 0 : cs->circuit->parts.value_count);
    return cs->value + at + record->kind->trim_param;
}

/* What each part makes of the solution, less what it has. Are they all content, with this share? */
static bool errors(sl_case *cs, const sl__answer *answer, double *error, double share)
{
    bool content = true;
    for (int32_t t = 0; t < cs->trimming_count; t++) {
        sl_part p = cs->trimming[t];
        sl__flow flow[SL__ELEMENTS_MOST];
        sl__flows(cs, answer, p, flow);
        double x = *trimmed(cs, p);
        error[t] = sl__case_part(cs, p)->kind->trim(sl__case_values(cs, p), cs->celsius,
                                                    cs->state[p], flow) -
                   x;
        content = content && fabs(error[t]) <= share * (1.0 + fabs(x));
    }
    return content;
}

double sl__trim_step(double error, double last_error, double last_step)
{
    double slope = last_step != 0.0 ? (error - last_error) / last_step : 0.0;
    double step = slope < 0.0 || slope > 0.0 ? -error / slope : error;
    double most = STRETCH_MOST * fmax(fabs(error), fabs(last_step));
    if (last_step != 0.0 && fabs(error - last_error) <= UNMOVED * fabs(error)) {
        return copysign(most, error); /* only an end of its range stops it: a regulator without
                                         a say in what its sense wire sees */
    }
    if (error * last_error < 0.0 && fabs(last_step) >= 0.5 * STRETCH_MOST * fabs(last_error)) {
        return error; /* it went beyond that end, and a secant across it says nothing */
    }
    return step * error > 0.0 ? copysign(fmin(fabs(step), most), step) : error;
}

static sl_status step_each(sl_case *cs, sl__answer *answer)
{
    double *error = cs->trim_error, *step = cs->trim_step, *last = cs->trim_last;
    for (int32_t t = 0; t < cs->trimming_count; t++) {
        step[t] = sl__trim_step(error[t], last[t], step[t]);
        last[t] = error[t];
        *trimmed(cs, cs->trimming[t]) += step[t];
    }
    return sl__steady(cs, answer);
}

/* Lists the parts that are furthest out; of equals, the first. */
static int32_t worst_of(const sl_case *cs, int32_t worst[TOGETHER_MOST])
{
    int32_t count = 0;
    while (count < TOGETHER_MOST && count < cs->trimming_count) {
        int32_t next = -1;
        for (int32_t t = 0; t < cs->trimming_count; t++) {
            bool listed = false;
            for (int32_t k = 0; k < count; k++) {
                listed = listed || worst[k] == t;
            }
            bool more = next < 0 || fabs(cs->trim_error[t]) > fabs(cs->trim_error[next]);
            next = !listed && more ? t : next;
        }
        worst[count++] = next;
    }
    return count;
}

/* Newton's step of the parts that are furthest out. Where there is none, each steps alone. */
static sl_status step_together(sl_case *cs, sl__answer *answer)
{
    int32_t part[TOGETHER_MOST], pivot[TOGETHER_MOST];
    double slope[TOGETHER_MOST * TOGETHER_MOST], error[TOGETHER_MOST], step[TOGETHER_MOST];
    int32_t count = worst_of(cs, part);
    for (int32_t k = 0; k < count; k++) {
        error[k] = cs->trim_error[part[k]];
        step[k] = -error[k];
    }
    for (int32_t c = 0; c < count; c++) {
        double *x = trimmed(cs, cs->trimming[part[c]]), was = *x;
        *x += TRY * (1.0 + fabs(was));
        sl_status st = sl__steady(cs, answer);
        if (st != SL_OK) {
            return st;
        }
        errors(cs, answer, cs->trim_error, CLOSE);
        for (int32_t r = 0; r < count; r++) {
            slope[r * count + c] = (cs->trim_error[part[r]] - error[r]) / (*x - was);
        }
        *x = was;
    }
    bool found = sl__dense_factor(count, slope, pivot) == SL_OK;
    if (found) {
        sl__dense_solve(count, slope, pivot, step);
    }
    for (int32_t k = 0; k < count; k++) {
        bool sound = found && fabs(step[k]) <= FAR * (1.0 + fabs(error[k]));
        *trimmed(cs, cs->trimming[part[k]]) += sound ? step[k] : error[k];
    }
    return sl__steady(cs, answer);
}

static sl_status trimmed_answer(sl_case *cs, sl__answer *answer)
{
    sl_status st = sl__steady(cs, answer);
    if (st != SL_OK || cs->trimming_count == 0) {
        return st;
    }
    const double *error = cs->trim_error;
    memset(cs->trim_step, 0, (size_t)cs->trimming_count * sizeof *cs->trim_step);
    double share = CLOSEST;
    for (int round = 0; !errors(cs, answer, cs->trim_error, share); round++) {
        share = errors(cs, answer, cs->trim_error, CLOSE) ? CLOSE : share;
        if (round == ROUNDS_MOST) {
            int32_t worst = 0;
            for (int32_t t = 1; t < cs->trimming_count; t++) {
                worst = fabs(error[t]) > fabs(error[worst]) ? t : worst;
            }
            return sl__fail(&cs->message, SL_E_CONVERGENCE,
                            "no operating point found: \"%s\" does not come to rest",
                            sl__case_part_name(cs, cs->trimming[worst]));
        }
        st = round < SECANTS_MOST ? step_each(cs, answer) : step_together(cs, answer);
        if (st != SL_OK) {
            return st;
        }
    }
    for (int32_t t = 0; t < cs->trimming_count; t++) {
        answer->trim[t] = *trimmed(cs, cs->trimming[t]);
    }
    return SL_OK;
}

sl_status sl__trimmed(sl_case *cs, sl__answer *answer)
{
    sl_status st = trimmed_answer(cs, answer);
    return st == SL_OK && cs->quick.recording ? sl__base_record(cs, answer) : st;
}

void sl__trim_show(sl_case *cs, const sl__answer *answer)
{
    for (int32_t t = 0; t < cs->trimming_count; t++) {
        *trimmed(cs, cs->trimming[t]) = answer->trim[t];
    }
}
