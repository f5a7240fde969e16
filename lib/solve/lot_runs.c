/* lib/solve/lot_runs.c: what a stage's network is made smaller by, before it is factored.

   A row that nothing drives and nobody reads need not be there. Where one branch alone ends, no
   current flows in it; two resistances that meet there are one, their sum. So dead ends go, and a
   run of resistances one after another is one branch, with one conductance to be worked out and
   not a row between any of them. As sums of resistances are as good as sums of conductances, no
   digit is lost. */
#include <string.h>

#include "solve/lot_plan.h"

enum { NO_HALF = -1 };

/* Branch k has two halves, 2 k at the row it comes from and 2 k + 1 at the row it goes to. A run
   goes from a half to its mate; in between, halves that are joined at a row have no mate. */
typedef struct runs {
    sl__plan *plan;
    sl__stage *stage;
    bool *kept, *gone;    /* rows */
    int32_t *at, *half;   /* halves at each row: half[at[row] .. at[row + 1]) */
    int32_t *degree;      /* of those, how many have a mate */
    int32_t *mate, *next; /* halves, or NO_HALF; next: what it is joined with */
    int32_t *todo, count; /* rows that may go */
} runs;

static int32_t row_of(const runs *r, int32_t half)
{
    return (half % 2 ? r->stage->to : r->stage->from)[half / 2];
}

static bool conducts(const sl__stage *stage, int32_t k)
{
    const sl__form form = stage->law[k].form;
    return (form == SL__OHMIC || form == SL__CURVE) && stage->from[k] != stage->to[k];
}

/* Is a branch one resistance, which nothing moves or the kernel works out by itself? */
static bool is_simple(const sl__plan *plan, const sl__stage *stage, int32_t k)
{
    const int32_t p = k < plan->cs->elements ? plan->part_of[plan->cs->branch[k].part] : -1;
    return stage->law[k].form == SL__OHMIC &&
           ((p >= 0 && stage->work[p].plain) || !sl__plan_moves(plan, stage, k, -1));
}

/* Rows that are read, and where something drives a current or does not follow Ohm's law. */
static void keep_rows(runs *r)
{
    const sl__stage *stage = r->stage;
    for (int32_t n = 0; n < stage->needs; n++) {
        if (stage->need[n] >= 0) {
            r->kept[stage->need[n]] = true;
        }
    }
    const int32_t *const lists[] = {stage->drive, stage->fix, stage->curve};
    const int32_t counts[] = {stage->driven, stage->fixed, stage->curves};
    for (int i = 0; i < 3; i++) {
        for (int32_t n = 0; n < counts[i]; n++) {
            const int32_t ends[] = {stage->from[lists[i][n]], stage->to[lists[i][n]]};
            for (int e = 0; e < 2; e++) {
                if (ends[e] >= 0) {
                    r->kept[ends[e]] = true;
                }
            }
        }
    }
}

static void list_halves(runs *r)
{
    const sl__stage *stage = r->stage;
    const int32_t halves = 2 * r->plan->branches;
    for (int32_t h = 0; h < halves; h++) {
        r->mate[h] = conducts(stage, h / 2) ? h ^ 1 : NO_HALF;
        r->next[h] = NO_HALF;
        if (r->mate[h] >= 0 && row_of(r, h) >= 0) {
            r->at[row_of(r, h)]++;
            r->degree[row_of(r, h)]++;
        }
    }
    for (int32_t row = 0; row < stage->rows; row++) {
        r->at[row + 1] += r->at[row];
    }
    for (int32_t h = halves - 1; h >= 0; h--) {
        if (r->mate[h] >= 0 && row_of(r, h) >= 0) {
            r->half[--r->at[row_of(r, h)]] = h;
        }
    }
}

static void look_at(runs *r, int32_t row)
{
    if (row >= 0 && !r->kept[row] && r->degree[row] <= 2) {
        r->todo[r->count++] = row;
    }
}

/* No current flows in the run that ends with this half. */
static void drop(runs *r, int32_t half)
{
    const int32_t ends[] = {half, r->mate[half]};
    for (int e = 0; e < 2; e++) {
        const int32_t row = row_of(r, ends[e]);
        r->mate[ends[e]] = NO_HALF;
        if (row >= 0) {
            r->degree[row]--;
        }
    }
    look_at(r, row_of(r, ends[0]));
    look_at(r, row_of(r, ends[1]));
}

/* Two runs that meet at a row become one. */
static void join(runs *r, int32_t half, int32_t with, int32_t row)
{
    const int32_t a = r->mate[half], b = r->mate[with];
    if (a == with) { /* it is one, with both ends here */
        drop(r, half);
        return;
    }
    if (!is_simple(r->plan, r->stage, half / 2) || !is_simple(r->plan, r->stage, with / 2)) {
        return;
    }
    r->next[half] = with;
    r->next[with] = half;
    r->mate[half] = r->mate[with] = NO_HALF;
    r->mate[a] = b;
    r->mate[b] = a;
    r->gone[row] = true;
    if (row_of(r, a) == row_of(r, b)) {
        drop(r, a);
    }
}

/* Of a row's halves, those that have a mate: at most two. */
static int32_t mated(const runs *r, int32_t row, int32_t half[2])
{
    int32_t count = 0;
    for (int32_t n = r->at[row]; n < r->at[row + 1]; n++) {
        if (r->mate[r->half[n]] >= 0) {
            half[count++] = r->half[n];
        }
    }
    return count;
}

/* The last row of an island that nothing joins to the reference stays: it is what the factor finds
   the island by. */
static void reduce(runs *r)
{
    for (int32_t row = 0; row < r->stage->rows; row++) {
        look_at(r, row);
    }
    while (r->count > 0) {
        const int32_t row = r->todo[--r->count];
        int32_t half[2];
        if (r->gone[row]) {
            continue;
        }
        const int32_t count = mated(r, row, half);
        if (count == 1) {
            r->gone[row] = true;
            drop(r, half[0]);
        } else if (count == 2) {
            join(r, half[0], half[1], row);
        }
    }
}

/* What stands for each branch, and the shape of what is left. */
static void name_runs(const runs *r, const int32_t *number)
{
    sl__stage *stage = r->stage;
    for (int32_t k = 0; k < r->plan->branches; k++) {
        stage->run[k] = conducts(stage, k) ? SL_NONE : k;
        stage->shape_from[k] = stage->shape_to[k] = SL__REFERENCE;
    }
    for (int32_t h = 0; h < 2 * r->plan->branches; h++) {
        if (h > r->mate[h]) {
            continue;
        }
        const int32_t from = row_of(r, h), to = row_of(r, r->mate[h]), first = h / 2;
        stage->shape_from[first] = from < 0 ? SL__REFERENCE : number[from];
        stage->shape_to[first] = to < 0 ? SL__REFERENCE : number[to];
        for (int32_t one = h; one >= 0; one = r->next[one ^ 1]) {
            stage->run[one / 2] = first;
        }
    }
}

static int32_t renumbered(const int32_t *number, int32_t row)
{
    return row < 0 ? SL__REFERENCE : number[row];
}

/* Rows that are gone are nobody's: they get the reference's number. */
static void renumber(const runs *r, int32_t *number)
{
    sl__stage *stage = r->stage;
    int32_t rows = 0;
    for (int32_t row = 0; row < stage->rows; row++) {
        number[row] = r->gone[row] ? SL__REFERENCE : rows++;
    }
    name_runs(r, number);
    for (int32_t k = 0; k < r->plan->branches; k++) {
        stage->from[k] = renumbered(number, stage->from[k]);
        stage->to[k] = renumbered(number, stage->to[k]);
    }
    for (int32_t n = 0; n < stage->needs; n++) {
        stage->need[n] = renumbered(number, stage->need[n]);
    }
    stage->red = renumbered(number, stage->red);
    stage->black = renumbered(number, stage->black);
    stage->rows = rows;
}

sl_status sl__plan_runs(sl__plan *plan, sl__stage *stage)
{
    const int32_t branches = plan->branches, rows = stage->rows;
    sl__arena scratch = {.al = &plan->al};
    runs r = {.plan = plan,
              .stage = stage,
              .kept = sl__arena_take(&scratch, rows, sizeof *r.kept),
              .gone = sl__arena_take(&scratch, rows, sizeof *r.gone),
              .at = sl__arena_take(&scratch, rows + 1, sizeof *r.at),
              .half = sl__arena_take(&scratch, 2 * branches, sizeof *r.half),
              .degree = sl__arena_take(&scratch, rows, sizeof *r.degree),
              .mate = sl__arena_take(&scratch, 2 * branches, sizeof *r.mate),
              .next = sl__arena_take(&scratch, 2 * branches, sizeof *r.next),
              .todo = sl__arena_take(&scratch, rows + 2 * branches, sizeof *r.todo)};
    int32_t *number = sl__arena_take(&scratch, rows, sizeof *number);
    stage->run = sl__arena_take(&plan->arena, branches, sizeof *stage->run);
    stage->shape_from = sl__arena_take(&plan->arena, branches, sizeof *stage->shape_from);
    stage->shape_to = sl__arena_take(&plan->arena, branches, sizeof *stage->shape_to);
    const bool failed = scratch.failed || plan->arena.failed;
    if (!failed) {
        keep_rows(&r);
        list_halves(&r);
        reduce(&r);
        renumber(&r, number);
    }
    sl__arena_clear(&scratch);
    return failed ? SL_E_NOMEM : SL_OK;
}
