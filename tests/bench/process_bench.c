/* The whole process: `strapline predict` of a vehicle of about 70 nodes, beside a plain Lua
   interpreter that prints one line (the floor), and beside the same size of network solved in
   Python with scipy (what a person would write instead). Prints milliseconds, peak memory and
   ratios, all from one run, the programs taking turns.

       STRAPLINE=build/strapline STRAPLINE_CIRCUITS=circuits build/bench/process_bench [--quick]

   This program is small on purpose: a process starts with the peak of the one that started it. */
#define _DEFAULT_SOURCE /* wait4, and with it POSIX */
#include <fcntl.h>
#include <spawn.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

extern char **environ;

#define ROUNDS 25

/* 70 nodes: a chain of 35 feeds, a chain of 35 returns, a load between each pair. */
static const char scipy[] =
    "import numpy as np\n"
    "from scipy.sparse import coo_matrix\n"
    "from scipy.sparse.linalg import spsolve\n"
    "n = 70\n"
    "edges = [(k, k + 1, 1e-3) for k in range(34)] + [(35 + k, 36 + k, 1e-3) for k in range(34)]\n"
    "edges += [(k, 35 + k, 10.0 + k) for k in range(35)]\n"
    "r, c, g = [], [], []\n"
    "for a, b, ohm in edges:\n"
    "    r += [a, b, a, b]; c += [a, b, b, a]; g += [1 / ohm, 1 / ohm, -1 / ohm, -1 / ohm]\n"
    "r += [0, 35]; c += [0, 35]; g += [200.0, 1e6]\n"
    "v = spsolve(coo_matrix((g, (r, c)), shape=(n, n)).tocsc(), np.r_[2520.0, np.zeros(n - 1)])\n"
    "for k in range(n):\n"
    "    print(k, v[k])\n";

typedef struct program {
    const char *name;
    char *command[8];
    double ms[ROUNDS], mib[ROUNDS];
    int missing;
} program;

/* Runs a program once, its output thrown away. Returns 0 when it ended well. */
static int run(program *p, int round)
{
    posix_spawn_file_actions_t quiet;
    posix_spawn_file_actions_init(&quiet);
    posix_spawn_file_actions_addopen(&quiet, STDOUT_FILENO, "/dev/null", O_WRONLY, 0);
    posix_spawn_file_actions_addopen(&quiet, STDERR_FILENO, "/dev/null", O_WRONLY, 0);
    struct timespec start, end;
    struct rusage usage;
    pid_t child;
    int status = -1;
    clock_gettime(CLOCK_MONOTONIC, &start);
    if (posix_spawnp(&child, p->command[0], &quiet, NULL, p->command, environ) == 0) {
        wait4(child, &status, 0, &usage);
        clock_gettime(CLOCK_MONOTONIC, &end);
        p->ms[round] =
            (double)(end.tv_sec - start.tv_sec) * 1e3 + (double)(end.tv_nsec - start.tv_nsec) / 1e6;
        p->mib[round] = (double)usage.ru_maxrss / 1024.0;
    }
    posix_spawn_file_actions_destroy(&quiet);
    return status == 0 ? 0 : -1;
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double median(double *v, int count)
{
    qsort(v, (size_t)count, sizeof *v, by_size);
    return v[count / 2];
}

int main(int argc, char **argv)
{
    int rounds = argc > 1 && strcmp(argv[1], "--quick") == 0 ? 1 : ROUNDS;
    char *strapline = getenv("STRAPLINE"), *folder = getenv("STRAPLINE_CIRCUITS");
    if (!strapline || !folder) {
        puts("process_bench: STRAPLINE and STRAPLINE_CIRCUITS say where things are; not run");
        return 0;
    }
    char circuit[4096], code[sizeof scipy];
    snprintf(circuit, sizeof circuit, "%s/tern_skerry_28.lua", folder);
    memcpy(code, scipy, sizeof scipy);
    char predict[] = "predict", lua[] = "lua5.4", python[] = "python3", e[] = "-e", c[] = "-c";
    char line[] = "print('one line')";
    program programs[] = {
        {.name = "strapline predict", .command = {strapline, predict, circuit}},
        {.name = "lua5.4, one line", .command = {lua, e, line}},
        {.name = "python3 with scipy", .command = {python, c, code}},
    };
    for (int round = 0; round < rounds; round++) {
        for (int k = 0; k < 3; k++) {
            programs[k].missing = programs[k].missing || run(&programs[k], round) != 0;
        }
    }
    if (programs[0].missing) {
        printf("process_bench: %s predict %s failed\n", strapline, circuit);
        return 1;
    }
    double ms = median(programs[0].ms, rounds), mib = median(programs[0].mib, rounds);
    printf("%s, medians of %d runs\n%-20s %8s %7s %17s %19s\n", circuit, rounds, "", "ms", "MiB",
           "time / strapline", "memory / strapline");
    for (int k = 0; k < 3; k++) {
        if (programs[k].missing) {
            printf("%-20s not here\n", programs[k].name);
            continue;
        }
        double t = median(programs[k].ms, rounds), m = median(programs[k].mib, rounds);
        printf("%-20s %8.2f %7.1f %17.2f %19.2f\n", programs[k].name, t, m, t / ms, m / mib);
    }
    return 0;
}
