/* What must be true of every kind: its description, its example, its laws and curves. */
#include "kindprobe.h"
#include "near.h"

#include <float.h>
#include <string.h>

static const double ambients[] = {-40.0, 20.0, 85.0};
enum { AMBIENTS = sizeof ambients / sizeof *ambients };

static void check(bool good, const sl_kind *about, const char *name, const char *what)
{
    if (!good) {
        fail_msg("%s: %s: %s", about->name, name ? name : "-", what);
    }
}

static bool has_text(const char *text)
{
    return text && *text;
}

/* A name as it can stand in a circuit file and in a fault text. */
static bool good_name(const char *name)
{
    return has_text(name) && !strpbrk(name, ":+=\"'{}\n") && name[0] != ' ';
}

#define CHECK_NAMES(about, array, count, what)                                                     \
    do {                                                                                           \
        for (int32_t a_ = 0; a_ < (count); a_++) {                                                 \
            check(good_name((array)[a_].name), about, (array)[a_].name, what " without a name");   \
            for (int32_t b_ = 0; b_ < a_; b_++) {                                                  \
                check(strcmp((array)[a_].name, (array)[b_].name) != 0, about, (array)[a_].name,    \
                      what " twice");                                                              \
            }                                                                                      \
        }                                                                                          \
    } while (0)

static void kinds_are_found_by_their_names(void **unused)
{
    (void)unused;
    assert_true(sl_kind_count() >= 12);
    assert_null(sl_kind_at(-1));
    assert_null(sl_kind_at(sl_kind_count()));
    assert_null(sl_kind_find("no such kind"));
    for (int32_t k = 0; k < sl_kind_count(); k++) {
        const sl_kind *about = sl_kind_at(k);
        assert_ptr_equal(sl_kind_find(about->name), about);
        check(sl__kind_of(about)->laws != NULL, about, NULL, "no laws");
    }
}

/* What each element is to the current; what gives is what can be a source, and a battery is one. */
static void every_element_has_a_use(void **unused)
{
    (void)unused;
    for (int32_t k = 0; k < sl_kind_count(); k++) {
        const sl_kind *about = sl_kind_at(k);
        check(about->uses != NULL, about, NULL, "no uses");
        for (int32_t e = 0; e < about->element_count; e++) {
            check(about->uses[e] < SL_USE_COUNT, about, about->elements[e].name, "no use");
            check(has_text(sl_use_text(about->uses[e])), about, about->elements[e].name, "no word");
            check(about->negative_post < 0 || about->uses[e] == SL_GIVES, about, NULL,
                  "a battery that is no source");
        }
    }
}

static void names_and_texts_are_there(void **unused)
{
    (void)unused;
    for (int32_t k = 0; k < sl_kind_count(); k++) {
        const sl_kind *about = sl_kind_at(k);
        check(has_text(about->doc) && has_text(about->law) && has_text(about->standing) &&
                  has_text(about->example),
              about, NULL, "doc, law, standing or example is empty");
        check(has_text(about->check), about, NULL, "says nothing of what it is tested against");
        check(about->terminal_count >= 2 && about->element_count >= 1, about, NULL, "no path");
        CHECK_NAMES(about, about->terminals, about->terminal_count, "terminal");
        CHECK_NAMES(about, about->params, about->param_count, "parameter");
        CHECK_NAMES(about, about->elements, about->element_count, "element");
        CHECK_NAMES(about, about->modes, about->mode_count, "mode");
        CHECK_NAMES(about, about->notices, about->notice_count, "notice");
        for (int32_t t = 0; t < about->terminal_count; t++) {
            check(has_text(about->terminals[t].doc), about, about->terminals[t].name, "no doc");
            for (int32_t n = 0; n < about->param_count; n++) {
                check(strcmp(about->terminals[t].name, about->params[n].name) != 0, about,
                      about->params[n].name, "terminal and parameter of the same name");
            }
        }
        for (int32_t e = 0; e < about->element_count; e++) {
            const sl_element *element = &about->elements[e];
            check(has_text(element->doc), about, element->name, "no doc");
            check(element->from >= 0 && element->from < about->terminal_count && element->to >= 0 &&
                      element->to < about->terminal_count && element->from != element->to,
                  about, element->name, "ends");
        }
        check(about->negative_post >= -1 && about->negative_post < about->terminal_count, about,
              NULL, "negative post");
    }
}

/* What some parts lack is there on others, and depends on a choice, or on whether a value is given.
 */
static void what_is_lacked_is_of_the_kind(void **unused)
{
    (void)unused;
    int32_t seen = 0;
    for (int32_t k = 0; k < sl_kind_count(); k++) {
        const sl_kind *about = sl_kind_at(k);
        const int32_t count[] = {[SL_LACKS_TERMINAL] = about->terminal_count,
                                 [SL_LACKS_ELEMENT] = about->element_count,
                                 [SL_LACKS_MODE] = about->mode_count};
        double value[64];
        for (int32_t n = 0; n < about->lack_count; n++, seen++) {
            const sl_lack *lack = &about->lacks[n];
            check(lack->index >= 0 && lack->index < count[lack->of], about, NULL, "lack: index");
            check(lack->param >= 0 && lack->param < about->param_count, about, NULL, "lack: param");
            const sl_param *param = &about->params[lack->param];
            check(isnan(lack->value) ? isnan(param->fallback)
                                     : param->quantity == SL_CHOICE && lack->value >= 0.0 &&
                                           lack->value <= param->greatest,
                  about, param->name, "lack: value");
            for (int32_t p = 0; p < about->param_count; p++) {
                value[p] = about->params[p].fallback;
            }
            value[lack->param] = lack->value;
            check(sl_kind_lacks(about, value, lack->of, lack->index), about, param->name, "lacks");
            value[lack->param] = isnan(lack->value) ? 1.0 : param->greatest - lack->value;
            check(!sl_kind_lacks(about, value, lack->of, lack->index), about, param->name, "has");
        }
        const uint32_t hidden = about->inside | about->reached;
        check((about->inside & about->reached) == 0, about, NULL, "inside and reached");
        for (int32_t t = 0; t < 32; t++) {
            const bool marked = (hidden & SL_TERMINAL_BIT(t)) != 0;
            check(!marked || (t < about->terminal_count && about->terminals[t].optional), about,
                  NULL, "marks a terminal that must be named");
        }
    }
    assert_true(seen > 0);
}

static void check_choices(const sl_kind *about, const sl_param *param)
{
    check((param->quantity == SL_CHOICE) == (param->choices != NULL), about, param->name,
          "choices are for a choice");
    if (!param->choices) {
        return;
    }
    int32_t count = 0;
    while (count < 32 && param->choices[count]) {
        check(good_name(param->choices[count]), about, param->name, "choice without a name");
        for (int32_t c = 0; c < count; c++) {
            check(strcmp(param->choices[c], param->choices[count]) != 0, about, param->name,
                  "choice twice");
        }
        count++;
    }
    check(count >= 2 && count < 32, about, param->name, "choices do not end by NULL");
    check(param->least == 0.0 && param->greatest == count - 1, about, param->name,
          "range of choices");
}

static void parameters_are_sane(void **unused)
{
    (void)unused;
    for (int32_t k = 0; k < sl_kind_count(); k++) {
        const sl_kind *about = sl_kind_at(k);
        for (int32_t n = 0; n < about->usual_count; n++) {
            const sl_param *param = &about->params[about->usual[n].param];
            const double usual = about->usual[n].value;
            check(usual > param->least && usual < param->greatest, about, param->name, "usual");
            check(isnan(param->fallback), about, param->name, "usual beside a default");
        }
        for (int32_t n = 0; n < about->param_count; n++) {
            const sl_param *param = &about->params[n];
            check(has_text(param->doc), about, param->name, "no doc");
            check(param->standing != NULL, about, param->name, "no standing");
            check(param->quantity < SL_QUANTITY_COUNT, about, param->name, "quantity");
            check(isfinite(param->least) && isfinite(param->greatest) &&
                      param->least < param->greatest,
                  about, param->name, "range");
            const bool has_default = param->presence == SL_DEFAULT && !isnan(param->fallback);
            if (has_default) {
                check(param->fallback >= param->least && param->fallback <= param->greatest, about,
                      param->name, "default outside its range");
                check(has_text(param->standing), about, param->name, "default without standing");
            } else {
                check(isnan(param->fallback), about, param->name, "a fallback nobody uses");
            }
            check(param->presence != SL_DERIVED || has_text(param->standing), about, param->name,
                  "does not say what it follows from");
            check_choices(about, param);
        }
        const int32_t special[] = {about->start_param, about->position_param};
        for (int s = 0; s < 2; s++) {
            check(special[s] >= -1 && special[s] < about->param_count, about, NULL, "index");
            check(special[s] < 0 || about->params[special[s]].quantity == SL_CHOICE, about, NULL,
                  "start and position are choices");
        }
    }
}

static void modes_point_at_what_is_there(void **unused)
{
    (void)unused;
    for (int32_t k = 0; k < sl_kind_count(); k++) {
        const sl_kind *about = sl_kind_at(k);
        for (int32_t m = 0; m < about->mode_count; m++) {
            const sl_mode *mode = &about->modes[m];
            check(has_text(mode->doc) && has_text(mode->standing), about, mode->name, "no text");
            check(mode->least <= mode->greatest, about, mode->name, "range");
            if (mode->change == SL_SET) {
                check(mode->index >= 0 && mode->index < about->param_count, about, mode->name,
                      "parameter");
                const sl_param *param = &about->params[mode->index];
                check(mode->least >= param->least && mode->greatest <= param->greatest, about,
                      mode->name, "range outside that of its parameter");
            } else {
                check(mode->index < about->element_count &&
                          (mode->index >= 0 || (mode->index == -1 && (mode->change == SL_OPEN ||
                                                                      about->element_count == 1))),
                      about, mode->name, "element");
                check(mode->change == SL_OPEN || mode->least > 0.0, about, mode->name,
                      "resistance added must be above 0");
            }
        }
    }
}

static void notice_texts_have_a_place_for_their_value(void **unused)
{
    (void)unused;
    for (int32_t k = 0; k < sl_kind_count(); k++) {
        const sl_kind *about = sl_kind_at(k);
        check((about->notice_count > 0) == (sl__kind_of(about)->notice != NULL), about, NULL,
              "notices and their function belong together");
        for (int32_t n = 0; n < about->notice_count; n++) {
            const sl_notice_def *notice = &about->notices[n];
            check(has_text(notice->text), about, notice->name, "no text");
            const char *place = strchr(notice->text, '@');
            check((place != NULL) == (notice->quantity != SL_NUMBER), about, notice->name,
                  "a value and its place belong together");
            check(!place || !strchr(place + 1, '@'), about, notice->name, "two places");
        }
    }
}

static void states_have_all_they_need(void **unused)
{
    (void)unused;
    for (int32_t k = 0; k < sl_kind_count(); k++) {
        const sl_kind *about = sl_kind_at(k);
        const sl__kind *kind = sl__kind_of(about);
        const bool has = about->state_count > 0;
        check((about->states != NULL) == has && (kind->wants != NULL) == has &&
                  (kind->delay_s != NULL) == has,
              about, NULL, "states, wants and delay belong together");
        if (!about->states || !kind->wants || !kind->delay_s) {
            continue;
        }
        probe part = probe_example(about);
        probe_laws(&part, 20.0, 0);
        const sl__flow still[PROBE_ELEMENTS] = {{.v = 0.0}};
        for (int32_t from = 0; from < about->state_count; from++) {
            check(has_text(about->states[from]), about, NULL, "state without a name");
            const int32_t next = kind->wants(part.p, 20.0, from, still);
            check(next >= 0 && next < about->state_count, about, about->states[from], "wants");
            for (int32_t to = 0; to < about->state_count; to++) {
                check(from == to || kind->delay_s(part.p, from, to) > 0.0, about,
                      about->states[from], "delay");
            }
        }
    }
}

/* Currents at rising voltages: none without voltage, never falling unless the kind says so, and the
   slope told is the slope there is. */
static void check_curve(const sl_kind *about, const sl_element *element, const sl__law *law)
{
    if (!law->curve) {
        check(false, about, element->name, "no curve");
        return;
    }
    double i = 1.0, slope = -1.0;
    sl__law_current(law, 0.0, &i, &slope);
    check(i == 0.0, about, element->name, "current without voltage");
    check(law->scale_s > 0.0 && isfinite(law->scale_s), about, element->name, "scale");
    double last = -INFINITY;
    int checked = 0, kinks = 0;
    for (int step = -400; step <= 400; step++) {
        /* From a tenth of a millivolt to 60 V either way, denser near 0. */
        const double v = step < 0 ? -1e-4 * pow(6e5, (-step - 1) / 399.0)
                                  : (step > 0 ? 1e-4 * pow(6e5, (step - 1) / 399.0) : 0.0);
        const double h = 1e-5 * fabs(v) + 1e-9;
        double below = 0.0, above = 0.0, slope_below = 0.0, slope_above = 0.0;
        sl__law_current(law, v, &i, &slope);
        sl__law_current(law, v - h, &below, &slope_below);
        sl__law_current(law, v + h, &above, &slope_above);
        check(isfinite(i) && isfinite(slope), about, element->name, "not finite");
        const double steepest = fmax(fabs(slope), fmax(fabs(slope_above), fabs(slope_below)));
        const double rounding = DBL_EPSILON * (fabs(above) + fabs(below));
        check(fabs(above - below) <= 4.0 * h * steepest + 1e4 * rounding, about, element->name,
              "current jumps");
        check(about->falls || (slope >= 0.0 && i >= last && i >= below && above >= i), about,
              element->name, "current falls");
        last = i;
        if (fabs(slope_above - slope_below) > 0.01 * fabs(slope_above + slope_below)) {
            kinks++;
            continue;
        }
        const double found = (above - below) / (2.0 * h);
        if (!(fabs(found - slope) <= 1e-4 * fabs(slope) + 1e-12 * law->scale_s + rounding / h)) {
            fail_msg("%s: %s: at %g V the slope is %.9g, told %.9g", about->name, element->name, v,
                     found, slope);
        }
        checked++;
    }
    check(checked >= 790 && kinks <= 10, about, element->name, "too many kinks to tell");
}

static void check_law(const sl_kind *about, const sl_element *element, const sl__law *law,
                      int *curves)
{
    switch (law->form) {
    case SL__ABSENT:
        break;
    case SL__OHMIC:
        check(isfinite(law->ohm) && law->ohm >= 0.0 && isfinite(law->open_v), about, element->name,
              "ohmic law");
        break;
    case SL__FIXED:
        check(isfinite(law->amp), about, element->name, "fixed law");
        break;
    case SL__CURVE:
        check_curve(about, element, law);
        ++*curves;
        break;
    default:
        check(false, about, element->name, "unknown form");
    }
}

/* Laws of a part in each state at each temperature; returns how many of them are curves. */
static int check_laws(probe *part)
{
    const sl_kind *about = &part->kind->about;
    int curves = 0;
    const int32_t states = about->state_count > 0 ? about->state_count : 1;
    for (int32_t state = 0; state < states; state++) {
        for (int a = 0; a < AMBIENTS; a++) {
            const sl__law *law = probe_laws(part, ambients[a], state);
            for (int32_t e = 0; e < about->element_count; e++) {
                check_law(about, &about->elements[e], &law[e], &curves);
            }
        }
    }
    return curves;
}

static void examples_stand_and_their_laws_are_sound(void **unused)
{
    (void)unused;
    int curves = 0;
    for (int32_t k = 0; k < sl_kind_count(); k++) {
        const sl_kind *about = sl_kind_at(k);
        probe part = probe_example(about);
        curves += check_laws(&part);
        /* Completing what is complete changes nothing. */
        double before[PROBE_PARAMS];
        memcpy(before, part.p, sizeof before);
        memcpy(part.given, part.p, sizeof part.given);
        probe_laws(&part, 20.0, 0);
        check(memcmp(before, part.p, sizeof before) == 0, about, NULL, "not complete at once");
    }
    assert_true(curves >= 2 * AMBIENTS); /* lamp and test_lamp at least */
}

static void parameters_left_unset_stay_in_range(void **unused)
{
    (void)unused;
    for (int32_t k = 0; k < sl_kind_count(); k++) {
        const sl_kind *about = sl_kind_at(k);
        probe part = probe_example(about);
        probe_laws(&part, 20.0, 0);
        for (int32_t n = 0; n < about->param_count; n++) {
            const sl_param *param = &about->params[n];
            check(isnan(part.p[n]) || (part.p[n] >= param->least && part.p[n] <= param->greatest),
                  about, param->name, "outside its range once complete");
            check(param->presence != SL_REQUIRED || !isnan(part.p[n]), about, param->name,
                  "not given by the example");
        }
    }
}

static void every_mode_and_choice_leaves_sound_laws(void **unused)
{
    (void)unused;
    for (int32_t k = 0; k < sl_kind_count(); k++) {
        const sl_kind *about = sl_kind_at(k);
        for (int32_t m = 0; m < about->mode_count; m++) {
            if (about->modes[m].change == SL_SET) {
                probe part = probe_example(about);
                probe_mode(&part, about->modes[m].name, about->modes[m].least);
                check_laws(&part);
                probe_mode(&part, about->modes[m].name, about->modes[m].greatest);
                check_laws(&part);
            }
        }
        for (int32_t n = 0; n < about->param_count; n++) {
            const sl_param *param = &about->params[n];
            for (int32_t c = 0; param->choices && param->choices[c]; c++) {
                probe part = probe_example(about);
                part.given[n] = c;
                sl__complaint bad = {-1, NULL};
                if (probe_complete(&part, &bad)) {
                    check_laws(&part);
                } else {
                    check(has_text(bad.text) && bad.param >= 0 && bad.param < about->param_count,
                          about, param->name, "complaint without a reason");
                }
            }
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(kinds_are_found_by_their_names),
        cmocka_unit_test(names_and_texts_are_there),
        cmocka_unit_test(what_is_lacked_is_of_the_kind),
        cmocka_unit_test(every_element_has_a_use),
        cmocka_unit_test(parameters_are_sane),
        cmocka_unit_test(modes_point_at_what_is_there),
        cmocka_unit_test(notice_texts_have_a_place_for_their_value),
        cmocka_unit_test(states_have_all_they_need),
        cmocka_unit_test(examples_stand_and_their_laws_are_sound),
        cmocka_unit_test(parameters_left_unset_stay_in_range),
        cmocka_unit_test(every_mode_and_choice_leaves_sound_laws),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
