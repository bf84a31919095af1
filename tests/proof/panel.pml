/* $name: $controls controls and one watcher. One tick is $tick s. Written by tests/proof/promela.py.

   The promise that is watched is chosen by PROMISE=number in the environment of the verifier; none: only explored.
$promises
   Timers:
$timers
*/
#define OFF $off
#define OVER $over /* the observation is over, and the run with it */

int control = 0;
$count left[$many] = OFF; /* ticks until each timer ends */
byte seen = 0;            /* the state of the observer; 0: it has not begun */
$count watch = OFF;       /* its own timer */
bit broken = 0;

c_decl {
\#include <stdio.h>
\#include <stdlib.h>
\#include "tables.h"
/* noted outside of the state */
static char come_to[$controls];
static int promise = -1, came = 0;
}

c_code {
static void tell(void)
{
	printf("controls reached:");
	for (int n = 0; n < $controls; n++)
		if (come_to[n]) printf(" %d", n);
	printf("\ncame to it: %d\n", came);
}

static void start(void)
{
	const char *asked = getenv("PROMISE");
	come_to[0] = 1;
	atexit(tell);
	if (asked) {
		promise = atoi(asked);
		now.seen = promises[promise].seen;
	}
}

static int place(int n) { return first[now.control] + n; }

static int look_of(int n, int of) { return rows[moves[place(n)].looks][promises[promise].column + of]; }

static int may(int n)
{
	return now.seen != OVER && place(n) < first[now.control + 1]
		&& (moves[place(n)].due < 0 || now.left[moves[place(n)].due] == 0);
}

static int may_begin(int n) { return promise >= 0 && now.seen == 0 && may(n) && look_of(n, 1); }

static void look(int n)
{
	if (looks[n].bad) now.broken = 1;
	if (looks[n].watch != KEPT) now.watch = looks[n].watch == STOPPED ? OFF : looks[n].watch;
	if (looks[n].seen != SAME) now.seen = looks[n].seen;
	if (now.seen == OVER) { /* all ends are one state */
		now.control = 0;
		now.watch = OFF;
		for (int timer = 0; timer < $many; timer++) now.left[timer] = OFF;
	}
}

static void happen(int n, int begins)
{
	int at = place(n), seen = 0;
	if (promise >= 0) {
		if (look_of(n, 0)) came = 1;
		seen = begins ? look_of(n, 1) : now.seen ? look_of(n, 1 + now.seen) : 0;
	}
	for (int timer = 0; timer < $many; timer++) {
		int ticks = clocks[moves[at].clocks][timer];
		if (ticks != KEPT) now.left[timer] = ticks == STOPPED ? OFF : ticks;
	}
	now.control = moves[at].to;
	come_to[now.control] = 1;
	look(seen);
}
}

active proctype panel()
{
	c_code { start(); };
end:	do
	/* whatever may happen now: inputs, and each timer that is due */
$options
	/* the watch runs out */
	:: d_step { watch == 0 -> c_code { look(too_late[promise][now.seen - 1]); }; assert(!broken) }
	/* a tick, unless something is due */
	:: d_step { seen != OVER && $none_due ->
$down
		skip }
	od
}
