/* tests/support/near.h: doubles compared by relative error; cmocka 1.1 compares floats only in
   single precision. */
#ifndef SL_SUPPORT_NEAR_H
#define SL_SUPPORT_NEAR_H

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

/* Built with the address sanitizer, which makes everything many times slower: a long test may then
   look at fewer of many things that are alike. */
#if defined(__SANITIZE_ADDRESS__)
#define TEST_IS_SLOW 1
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
#define TEST_IS_SLOW 1
#endif
#endif
#ifndef TEST_IS_SLOW
#define TEST_IS_SLOW 0
#endif

/* |got - wanted| <= tolerance * |wanted|. A wanted of 0 must be met exactly; NaN meets nothing. */
#define assert_near(label, got, wanted, tolerance)                                                 \
    near_check((label), (got), (wanted), (tolerance), __FILE__, __LINE__)

/* An error that must not exceed its bound; NaN does. */
#define assert_at_most(label, got, most) near_check_most((label), (got), (most), __FILE__, __LINE__)

static inline void near_check(const char *label, double got, double wanted, double tolerance,
                              const char *file, int line)
{
    if (!(fabs(got - wanted) <= tolerance * fabs(wanted))) {
        print_error("%s: got %.17g, wanted %.17g, off by %.3g of it, allowed %.3g\n", label, got,
                    wanted, fabs(got - wanted) / fabs(wanted), tolerance);
        _fail(file, line);
    }
}

static inline void near_check_most(const char *label, double got, double most, const char *file,
                                   int line)
{
    if (!(got <= most)) {
        print_error("%s: got %.3g, allowed at most %.3g\n", label, got, most);
        _fail(file, line);
    }
}

#endif
