/* lib/solve/trim.c: parts that adjust themselves: a regulator that holds a voltage somewhere else,
   a conductor that warms with its own current.

   Each has one parameter x that ought to equal what the part itself makes of the solution, F(x).
   All of them are stepped together, each along the secant of its own last two errors F(x) - x. */
#include <math.h>
#include <string.h>

#include "solve/solve.h"

#define ROUNDS_MOST 60
/* An x is right when F(x) differs by less than this share of it, or of 1. */
#define CLOSE 1e-11
/* A secant step is believed up to this many times the plain step F(x) - x. */
#define STRETCH_MOST 20.0

static double *trimmed(sl_case *cs, sl_part part)
{
    int32_t own = cs->circuit->parts.names.count;
    const sl__part *record = sl__case_part(cs, part);
    int32_t at = record->value_at + (part < own ? 0 : cs->circuit->parts.value_count);
    return cs->value + at + record->kind->trim_param;
}

/* What each part makes of the solution, less what it has. Are they all content? */
static bool errors(sl_case *cs, const sl__answer *answer, double *error)
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
        content = content && fabs(error[t]) <= CLOSE * (1.0 + fabs(x));
    }
    return content;
}

/* The next step of one part: plain at first, then along the secant. */
static double next_step(double error, double last_error, double last_step)
{
    double slope = last_step != 0.0 ? (error - last_error) / last_step : 0.0;
    double step = slope < 0.0 || slope > 0.0 ? -error / slope : error;
    double most = STRETCH_MOST * fabs(error);
    return step * error > 0.0 && fabs(step) <= most ? step : error;
}

sl_status sl__trimmed(sl_case *cs, sl__answer *answer)
{
    sl_status st = sl__steady(cs, answer);
    if (st != SL_OK || cs->trimming_count == 0) {
        return st;
    }
    double *error = cs->trim_error, *step = cs->trim_step, *last = cs->trim_last;
    memset(step, 0, (size_t)cs->trimming_count * sizeof *step);
    for (int round = 0; !errors(cs, answer, error); round++) {
        if (round == ROUNDS_MOST) {
            int32_t worst = 0;
            for (int32_t t = 1; t < cs->trimming_count; t++) {
                worst = fabs(error[t]) > fabs(error[worst]) ? t : worst;
            }
            return sl__fail(&cs->message, SL_E_CONVERGENCE,
                            "no operating point found: \"%s\" does not come to rest",
                            sl__case_part_name(cs, cs->trimming[worst]));
        }
        for (int32_t t = 0; t < cs->trimming_count; t++) {
            step[t] = next_step(error[t], last[t], step[t]);
            last[t] = error[t];
            *trimmed(cs, cs->trimming[t]) += step[t];
        }
        if ((st = sl__steady(cs, answer)) != SL_OK) {
            return st;
        }
    }
    return SL_OK;
}
