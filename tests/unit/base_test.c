/* Memory, arenas, names, messages, status: the ground everything else stands on. */
#include "base/arena.h"
#include "base/memory.h"
#include "base/message.h"
#include "base/names.h"
#include "near.h"
#include "probe.h"

#include <stdio.h>
#include <string.h>

/* A block of that many bytes holds nothing but zeros. */
static bool zeroed(const void *block, size_t bytes)
{
    const unsigned char *b = block;
    for (size_t i = 0; i < bytes; i++) {
        if (b[i]) {
            return false;
        }
    }
    return true;
}

static void new_blocks_are_zeroed_and_counted(void **unused)
{
    (void)unused;
    alloc_probe probe;
    const sl_alloc al = probe_start(&probe, PROBE_NEVER);
    int64_t *a = sl__new(&al, 100, sizeof *a);
    assert_non_null(a);
    assert_true(zeroed(a, 100 * sizeof *a));
    assert_int_equal(probe.live_bytes, 800);
    sl__free(&al, a, 100, sizeof *a);
    assert_int_equal(probe.live_blocks, 0);
    assert_int_equal(probe.peak_bytes, 800);
}

static void empty_array_is_a_block_all_the_same(void **unused)
{
    (void)unused;
    alloc_probe probe;
    const sl_alloc al = probe_start(&probe, PROBE_NEVER);
    void *none = sl__new(&al, 0, 24);
    assert_non_null(none);
    sl__free(&al, none, 0, 24);
    assert_int_equal(probe.live_blocks, 0);
}

static void product_of_sizes_that_overflows_is_refused(void **unused)
{
    (void)unused;
    alloc_probe probe;
    const sl_alloc al = probe_start(&probe, PROBE_NEVER);
    assert_null(sl__new(&al, SIZE_MAX / 8 + 1, 8));
    int32_t *a = sl__new(&al, 3, sizeof *a);
    assert_null(sl__grow(&al, a, 3, SIZE_MAX / 2, sizeof *a));
    int32_t room = 3;
    assert_null(sl__reserve(&al, a, &room, INT32_MAX / 2, sizeof *a));
    assert_int_equal(room, 3);
    assert_int_equal(probe.calls, 1); /* the allocator was not even asked */
    sl__free(&al, a, 3, sizeof *a);
}

static void growing_keeps_what_is_there_and_zeroes_the_rest(void **unused)
{
    (void)unused;
    alloc_probe probe;
    const sl_alloc al = probe_start(&probe, PROBE_NEVER);
    int32_t room = 0, *a = NULL;
    for (int32_t i = 0; i < 1000; i++) {
        a = sl__reserve(&al, a, &room, i + 1, sizeof *a);
        assert_non_null(a);
        assert_true(room > i);
        assert_int_equal(a[i], 0);
        a[i] = i;
    }
    for (int32_t i = 0; i < 1000; i++) {
        assert_int_equal(a[i], i);
    }
    assert_true(zeroed(a + 1000, (size_t)(room - 1000) * sizeof *a));
    assert_true(probe.calls < 12); /* doubling */
    sl__free(&al, a, (size_t)room, sizeof *a);
    assert_int_equal(probe.live_blocks, 0);
}

static void growing_that_fails_leaves_the_block(void **unused)
{
    (void)unused;
    alloc_probe probe;
    const sl_alloc al = probe_start(&probe, 1);
    int32_t room = 0;
    int32_t *a = sl__reserve(&al, NULL, &room, 1, sizeof *a);
    assert_non_null(a);
    a[0] = 7;
    const int32_t before = room;
    assert_null(sl__reserve(&al, a, &room, room + 1, sizeof *a));
    assert_int_equal(room, before);
    assert_int_equal(a[0], 7);
    sl__free(&al, a, (size_t)room, sizeof *a);
    assert_int_equal(probe.live_blocks, 0);
}

static void text_is_copied(void **unused)
{
    (void)unused;
    alloc_probe probe;
    const sl_alloc al = probe_start(&probe, PROBE_NEVER);
    char text[] = "stud";
    char *copy = sl__text_copy(&al, text);
    text[0] = 'm';
    assert_string_equal(copy, "stud");
    sl__text_free(&al, copy);
    sl__text_free(&al, NULL);
    assert_int_equal(probe.live_blocks, 0);
}

static void arrays_of_an_arena_are_zeroed_aligned_and_apart(void **unused)
{
    (void)unused;
    alloc_probe probe;
    const sl_alloc al = probe_start(&probe, PROBE_NEVER);
    sl__arena arena = {.al = &al};
    unsigned char *taken[300];
    for (int32_t i = 0; i < 300; i++) {
        int32_t bytes = 1 + (i * 37) % 500;
        taken[i] = sl__arena_take(&arena, bytes, 1);
        assert_non_null(taken[i]);
        assert_int_equal((uintptr_t)taken[i] % _Alignof(max_align_t), 0);
        assert_true(zeroed(taken[i], (size_t)bytes));
        memset(taken[i], i % 255 + 1, (size_t)bytes);
    }
    for (int32_t i = 0; i < 300; i++) {
        for (int32_t k = 0; k < 1 + (i * 37) % 500; k++) {
            assert_int_equal(taken[i][k], i % 255 + 1);
        }
    }
    assert_non_null(sl__arena_take(&arena, 0, 8));
    assert_false(arena.failed);
    assert_true(probe.calls < 8); /* many arrays, few blocks */
    sl__arena_clear(&arena);
    assert_int_equal(probe.live_blocks, 0);
}

static void arena_takes_arrays_larger_than_its_blocks(void **unused)
{
    (void)unused;
    alloc_probe probe;
    const sl_alloc al = probe_start(&probe, PROBE_NEVER);
    sl__arena arena = {.al = &al};
    double *large = sl__arena_take(&arena, 100000, sizeof *large);
    assert_non_null(large);
    assert_true(zeroed(large, 100000 * sizeof *large));
    large[99999] = 1.0;
    sl__arena_clear(&arena);
    assert_int_equal(probe.live_blocks, 0);
}

static void arena_that_failed_says_so_until_cleared(void **unused)
{
    (void)unused;
    alloc_probe probe;
    const sl_alloc al = probe_start(&probe, 0);
    sl__arena arena = {.al = &al};
    assert_null(sl__arena_take(&arena, 10, 8));
    assert_true(arena.failed);
    assert_null(sl__arena_take(&arena, 10, 8)); /* not asked again */
    assert_int_equal(probe.calls, 1);
    sl__arena_clear(&arena);
    assert_false(arena.failed);
    assert_non_null(sl__arena_take(&arena, 10, 8));
    sl__arena_clear(&arena);
    assert_int_equal(probe.live_blocks, 0);
}

static void names_are_numbered_in_order_and_found(void **unused)
{
    (void)unused;
    alloc_probe probe;
    const sl_alloc al = probe_start(&probe, PROBE_NEVER);
    sl__names names = {0};
    assert_int_equal(sl__names_find(&names, "a"), -1);
    for (int32_t i = 0; i < 5000; i++) {
        char text[16];
        snprintf(text, sizeof text, "n%d", (int)i);
        int32_t index = -1;
        assert_int_equal(sl__names_add(&al, &names, text, &index), SL_OK);
        assert_int_equal(index, i);
    }
    for (int32_t i = 0; i < 6000; i++) {
        char text[16];
        snprintf(text, sizeof text, "n%d", (int)i);
        assert_int_equal(sl__names_find(&names, text), i < 5000 ? i : -1);
    }
    assert_int_equal(sl__names_find(&names, ""), -1);
    assert_int_equal(sl__names_find(&names, "N1"), -1); /* case counts */
    sl__names_free(&al, &names);
    assert_int_equal(probe.live_blocks, 0);
    assert_int_equal(names.count, 0);
}

static void forgotten_names_can_come_again(void **unused)
{
    (void)unused;
    alloc_probe probe;
    const sl_alloc al = probe_start(&probe, PROBE_NEVER);
    sl__names names = {0};
    static const char *const text[] = {"battery", "frame", "engine", "stud"};
    int32_t index;
    for (int round = 0; round < 3; round++) {
        for (int32_t i = names.count; i < 4; i++) {
            assert_int_equal(sl__names_add(&al, &names, text[i], &index), SL_OK);
        }
        sl__names_truncate(&al, &names, 9); /* more than there are: nothing happens */
        assert_int_equal(names.count, 4);
        sl__names_truncate(&al, &names, 1);
        assert_int_equal(names.count, 1);
        assert_int_equal(sl__names_find(&names, "battery"), 0);
        assert_int_equal(sl__names_find(&names, "frame"), -1);
    }
    sl__names_free(&al, &names);
    assert_int_equal(probe.live_blocks, 0);
}

/* Every allocation fails once; the names are then as they were. */
static void adding_a_name_without_memory_changes_nothing(void **unused)
{
    (void)unused;
    size_t calls = SIZE_MAX;
    for (size_t fail_at = 0; fail_at < calls; fail_at++) {
        alloc_probe probe;
        const sl_alloc al = probe_start(&probe, fail_at);
        sl__names names = {0};
        for (int32_t i = 0; i < 40; i++) {
            char text[16];
            snprintf(text, sizeof text, "n%d", (int)i);
            int32_t index = -7;
            sl_status st = sl__names_add(&al, &names, text, &index);
            if (st != SL_OK) {
                assert_int_equal(st, SL_E_NOMEM);
                assert_int_equal(index, -7);
                assert_int_equal(names.count, i);
                assert_int_equal(sl__names_find(&names, text), -1);
                assert_int_equal(sl__names_add(&al, &names, text, &index), SL_OK);
            }
            assert_int_equal(index, i);
            assert_int_equal(sl__names_find(&names, text), i);
        }
        sl__names_free(&al, &names);
        assert_int_equal(probe.live_blocks, 0);
        calls = probe.calls;
    }
    assert_true(calls > 40);
}

static void message_is_set_added_to_and_cut(void **unused)
{
    (void)unused;
    sl__message message;
    assert_int_equal(sl__fail(&message, SL_E_VALUE, "%s is %g", "size", 2.5), SL_E_VALUE);
    assert_string_equal(message.text, "size is 2.5");
    sl__message_add(&message, " %s", "mm2");
    assert_string_equal(message.text, "size is 2.5 mm2");
    for (int i = 0; i < 200; i++) {
        sl__message_add(&message, ", \"another part\"");
    }
    assert_int_equal(strlen(message.text), sizeof message.text - 1);
    sl__message_add(&message, "more");
    assert_int_equal(strlen(message.text), sizeof message.text - 1);
    assert_int_equal(sl__fail(&message, SL_E_ARG, "short"), SL_E_ARG);
    assert_string_equal(message.text, "short");
}

static void every_status_has_a_name_and_a_text(void **unused)
{
    (void)unused;
#define CHECK_STATUS(name, value, wanted)                                                          \
    assert_int_equal(name, value);                                                                 \
    assert_string_equal(sl_status_name(name), #name);                                              \
    assert_string_equal(sl_status_text(name), wanted);
    SL_STATUS_LIST(CHECK_STATUS)
#undef CHECK_STATUS
    assert_string_equal(sl_status_name((sl_status)-77), "unknown");
    assert_non_null(sl_status_text((sl_status)-77));
    assert_true(SL_W_FLOATING > 0 && SL_E_NOMEM < 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(new_blocks_are_zeroed_and_counted),
        cmocka_unit_test(empty_array_is_a_block_all_the_same),
        cmocka_unit_test(product_of_sizes_that_overflows_is_refused),
        cmocka_unit_test(growing_keeps_what_is_there_and_zeroes_the_rest),
        cmocka_unit_test(growing_that_fails_leaves_the_block),
        cmocka_unit_test(text_is_copied),
        cmocka_unit_test(arrays_of_an_arena_are_zeroed_aligned_and_apart),
        cmocka_unit_test(arena_takes_arrays_larger_than_its_blocks),
        cmocka_unit_test(arena_that_failed_says_so_until_cleared),
        cmocka_unit_test(names_are_numbered_in_order_and_found),
        cmocka_unit_test(forgotten_names_can_come_again),
        cmocka_unit_test(adding_a_name_without_memory_changes_nothing),
        cmocka_unit_test(message_is_set_added_to_and_cut),
        cmocka_unit_test(every_status_has_a_name_and_a_text),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
