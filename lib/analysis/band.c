/* lib/analysis/band.c: what varies, and one moved case after another. */
#include "analysis/band.h"

#include <math.h>
#include <string.h>

#include "base/memory.h"

/* Has a fault set it? What a fault sets is exact. */
static bool set_by_fault(const sl_case *cs, sl_part part, int32_t param)
{
    for (int32_t k = 0; k < cs->edit_count; k++) {
        const sl_edit *edit = &cs->edit[k];
        if (edit->change == SL_SET && edit->part == part && edit->index == param) {
            return true;
        }
    }
    return false;
}

/* The spread of a parameter here, given or usual; false when it has none. */
static bool spread_of(const sl_case *cs, sl_part part, int32_t param, bool usual, sl_spread *out,
                      const char **standing)
{
    *standing = "";
    if (sl_circuit_spread(cs->circuit, cs->condition, part, param, out)) {
        return true;
    }
    return usual && sl_kind_spread(&sl__case_part(cs, part)->kind->about, param, out, standing);
}

/* Can a parameter take a value, all others as they are? */
static bool stands(sl_case *cs, sl_part part, int32_t param, double to, sl__message *why)
{
    double value[SL__PARAMS_ROOM];
    sl__laws_given(cs, cs->condition, part);
    cs->given[param] = to;
    return sl__parts_complete(sl__case_part(cs, part)->kind, sl__case_part_name(cs, part),
                              cs->given, value, why) == SL_OK;
}

/* Takes in a parameter that varies. A usual spread that cannot stand is none. */
static sl_status take(sl_band *band, sl_part part, int32_t param, bool usual)
{
    sl_case *cs = band->cs;
    const sl_param *def = &sl__case_part(cs, part)->kind->about.params[param];
    sl_spread spread;
    sl_varied found = {.part = part, .param = param, .at_low = SL__NAN, .at_high = SL__NAN};
    found.value = sl__case_values(cs, part)[param];
    if (isnan(found.value) || def->quantity == SL_CHOICE || set_by_fault(cs, part, param) ||
        !spread_of(cs, part, param, usual, &spread, &found.standing)) {
        return SL_OK;
    }
    found.low = sl__spread_value(&spread, found.value, -1.0, def->least, def->greatest);
    found.high = sl__spread_value(&spread, found.value, 1.0, def->least, def->greatest);
    if (found.low == found.high) {
        return SL_OK;
    }
    sl__message why = {""};
    if (!stands(cs, part, param, found.low, &why) || !stands(cs, part, param, found.high, &why)) {
        return *found.standing ? SL_OK
                               : sl__fail(&cs->message, SL_E_VALUE,
                                          "the spread of %s of \"%s\" cannot stand: %s", def->name,
                                          sl__case_part_name(cs, part), why.text);
    }
    band->vary.item[band->vary.count++] = (struct sl__vary_item){part, param, spread, 0.0};
    band->varied[band->count++] = found;
    return SL_OK;
}

static sl_status take_all(sl_band *band, bool usual)
{
    sl_case *cs = band->cs;
    for (sl_part p = 0; p < cs->circuit->parts.names.count; p++) {
        const sl__kind *kind = sl__case_part(cs, p)->kind;
        for (int32_t k = 0; k < kind->about.param_count; k++) {
            bool adjusts = kind->trim && k == kind->trim_param;
            sl_status st = adjusts ? SL_OK : take(band, p, k, usual);
            if (st != SL_OK) {
                return st;
            }
        }
    }
    sl_spread *warmth = &band->vary.warmth;
    if (sl_circuit_spread(cs->circuit, cs->condition, SL_NONE, 0, warmth)) {
        sl_varied found = {.part = SL_NONE, .value = cs->celsius, .standing = ""};
        found.at_low = found.at_high = SL__NAN;
        found.low = sl__spread_value(warmth, found.value, -1.0, SL__LEAST_C, SL__GREATEST_C);
        found.high = sl__spread_value(warmth, found.value, 1.0, SL__LEAST_C, SL__GREATEST_C);
        if (found.low < found.high) {
            band->varied[band->count++] = found;
        }
    }
    return SL_OK;
}

static sl_status take_room(sl_band *band)
{
    const sl_case *cs = band->cs;
    sl__arena *a = &band->arena;
    int32_t params = cs->circuit->parts.value_count, states = 0;
    band->vary.item = sl__arena_take(a, params, sizeof *band->vary.item);
    band->varied = sl__arena_take(a, params + 1, sizeof *band->varied);
    band->z = sl__arena_take(a, params + 1, sizeof *band->z);
    band->state = sl__arena_take(a, cs->parts, sizeof *band->state);
    band->state_at = sl__arena_take(a, cs->parts + 1, sizeof *band->state_at);
    band->moved = sl__arena_take(a, cs->parts, sizeof *band->moved);
    for (sl_part p = 0; band->state_at && p < cs->parts; p++) {
        const int32_t own = sl__case_part(cs, p)->kind->about.state_count;
        states += own > 0 ? own + 1 : 0;
        band->state_at[p + 1] = states;
    }
    band->ended = sl__arena_take(a, states, sizeof *band->ended);
    return a->failed ? sl__fail(&band->cs->message, SL_E_NOMEM, "%s", sl_status_text(SL_E_NOMEM))
                     : SL_OK;
}

/* What the reading moves by, where everything is as it is. */
static sl_status find_slopes(sl_band *band)
{
    sl_effects *effects;
    sl_status st = sl_effects_find(band->cs, &band->of, &effects);
    if (st != SL_OK) {
        return st;
    }
    for (int32_t k = 0; k < band->count; k++) {
        double slope = sl_effects_param(effects, band->varied[k].part, band->varied[k].param);
        band->varied[k].slope = isnan(slope) ? 0.0 : slope;
    }
    sl_effects_free(effects);
    return SL_OK;
}

/* The reading at the other end of a chatter; `first` where there is none. */
static double other_end(const sl_band *band, sl_case *cs, double first)
{
    double value = first;
    if (cs->outcome == SL_CHATTERS) {
        sl_case_view(cs, 1);
        value = sl_case_reading(cs, &band->of, &value) == SL_OK ? value : SL__NAN;
        sl_case_view(cs, 0);
    }
    return value;
}

sl_status sl_band_new(sl_case *cs, const sl_reading *of, bool usual, sl_band **out)
{
    cs->vary = NULL;
    sl_status st = sl_case_solve(cs);
    if (st != SL_OK) {
        return st;
    }
    sl_band *band = sl__new(&cs->al, 1, sizeof *band);
    if (!band) {
        return sl__fail(&cs->message, SL_E_NOMEM, "%s", sl_status_text(SL_E_NOMEM));
    }
    *band = (sl_band){.al = cs->al, .cs = cs, .of = *of};
    band->arena.al = &band->al;
    st = take_room(band);
    if (st == SL_OK) {
        memcpy(band->state, cs->answer[0].state, (size_t)cs->parts * sizeof *band->state);
        st = take_all(band, usual);
    }
    if (st == SL_OK) {
        st = find_slopes(band);
    }
    if (st == SL_OK) {
        st = sl_case_reading(cs, of, &band->nominal);
        band->chatters = cs->outcome == SL_CHATTERS;
        band->other = other_end(band, cs, band->nominal);
    }
    if (st != SL_OK) {
        sl_band_free(band);
        return st;
    }
    *out = band;
    return SL_OK;
}

void sl_band_free(sl_band *band)
{
    if (band) {
        sl_alloc al = band->al;
        band->cs->vary = NULL;
        band->cs->one_order = false;
        sl__plans_free(band->plans);
        sl__arena_clear(&band->arena);
        sl__free(&al, band, 1, sizeof *band);
    }
}

const char *sl_band_message(const sl_band *band)
{
    return band->message.text;
}

double sl_band_nominal(const sl_band *band)
{
    return band->nominal;
}

bool sl_band_chatters(const sl_band *band, double *other)
{
    if (other) {
        *other = band->other;
    }
    return band->chatters;
}

int32_t sl_band_count(const sl_band *band)
{
    return band->count;
}

sl_status sl_band_varied(const sl_band *band, int32_t k, sl_varied *out)
{
    if (k < 0 || k >= band->count) {
        return SL_E_ARG;
    }
    *out = band->varied[k];
    return SL_OK;
}

void sl__band_place(const sl_band *band, sl__vary *vary, int32_t k, double z)
{
    if (band->varied[k].part == SL_NONE) {
        vary->warmth_z = z;
    } else {
        vary->item[k].z = z;
    }
}

sl_status sl__band_solve(const sl_band *band, sl_case *cs, double *value)
{
    sl_status st = sl_case_solve(cs);
    return st == SL_OK ? sl_case_reading(cs, &band->of, value) : st;
}

sl_status sl__band_ends(const sl_band *band, sl_case *cs, double end[2])
{
    sl_status st = sl__band_solve(band, cs, &end[0]);
    if (st == SL_OK) {
        end[1] = other_end(band, cs, end[0]);
    }
    return st;
}

sl_status sl__band_corner(sl_band *band, const double *z, double end[2])
{
    for (int32_t k = 0; k < band->count; k++) {
        if (!(z[k] >= -1.0 && z[k] <= 1.0)) {
            return sl__fail(&band->message, SL_E_ARG, "z[%d] is %g; allowed: -1 to 1", (int)k,
                            z[k]);
        }
        sl__band_place(band, &band->vary, k, z[k]);
    }
    band->cs->vary = &band->vary;
    band->cs->one_order = true;
    sl_status st = sl__band_ends(band, band->cs, end);
    return st == SL_OK ? st : sl__fail(&band->message, st, "%s", sl_case_message(band->cs));
}

sl_status sl_band_corner(sl_band *band, const double *z, double *value)
{
    double end[2] = {SL__NAN, SL__NAN};
    sl_status st = sl__band_corner(band, z, end);
    *value = end[0];
    return st;
}

void sl_band_rss(const sl_band *band, double *low, double *high)
{
    double below = 0.0, above = 0.0;
    for (int32_t k = 0; k < band->count; k++) {
        const sl_varied *v = &band->varied[k];
        double one = v->slope * (v->low - v->value), other = v->slope * (v->high - v->value);
        below += pow(fmin(one, other), 2.0);
        above += pow(fmax(one, other), 2.0);
    }
    *low = band->nominal - sqrt(below);
    *high = band->nominal + sqrt(above);
}
