/* samples.c: the generator of samples/ stops at a book that would not add up, and picks in few words. */
#include <sys/wait.h>
#include <unistd.h>

#include "../../samples/gen/day.c"
#include "../../samples/gen/page.c"
#include "../../samples/gen/shelf.c"

static int failures;

#define CHECK(what) do { if (!(what)) { failures++; printf("%d: %s\n", __LINE__, #what); } } while (0)

struct scene {
	struct shelf shelf;
	struct page page;
	struct buf out;
	struct key cleft, blade, far;
};

/* Twenty clefts and six blades of L1 in bay b1, since yesterday; the far bay is empty. */
static void scene_init(struct scene *s)
{
	memset(s, 0, sizeof *s);
	s->page.shelf = &s->shelf;
	s->cleft = shelf_key(&s->shelf, "L1", "cleft", "SH", "", "yard/b1");
	s->far = shelf_key(&s->shelf, "L1", "cleft", "SH", "", "yard/b2");
	s->blade = shelf_key(&s->shelf, "L1", "blade", "SH", "2", "yard/b1");
	shelf_give(&s->shelf, s->cleft, 20);
	shelf_give(&s->shelf, s->blade, 6);
	page_open(&s->page, 10);
}

static void scene_release(struct scene *s)
{
	page_release(&s->page);
	shelf_release(&s->shelf);
	buf_release(&s->out);
}

static struct line *move(struct scene *s, int minute, struct key from, struct key to, int n)
{
	struct line *l = page_say(&s->page, minute, "move", "L1");

	line_pick(l, from, W_LOT, 0);
	line_add(l, "into", "%s", to.at);
	line_add(l, "count", "%d", n);
	page_take(&s->page, from, n);
	page_give(&s->page, to, n);
	return l;
}

static void too_many(struct scene *s)
{
	move(s, UNTIMED, s->cleft, s->far, 21);
}

static void to_and_fro(struct scene *s)
{
	move(s, UNTIMED, s->cleft, s->far, 20);
	move(s, UNTIMED, s->far, s->cleft, 20);
}

static void told_backwards(struct scene *s)
{
	move(s, 600, s->cleft, s->far, 20);
	move(s, 500, s->far, s->cleft, 20);
}

static void counted_and_moved(struct scene *s)
{
	line_pick(page_say(&s->page, UNTIMED, "tally", "L1"), s->cleft, W_LOT, 0);
	page_take(&s->page, s->cleft, 1);
	move(s, UNTIMED, s->cleft, s->far, 2);
}

static void picks_nothing(struct scene *s)
{
	line_pick(page_say(&s->page, UNTIMED, "scrap", "L1"), s->far, W_LOT, 0);
}

/* The exit status of telling the story in a process of its own. */
static int status_of(void (*story)(struct scene *))
{
	int status;
	pid_t child = fork();

	if (child == 0) {
		struct scene s;

		if (!freopen("/dev/null", "w", stderr))
			_exit(9);
		scene_init(&s);
		story(&s);
		page_close(&s.page, &s.out);
		_exit(0);
	}
	return waitpid(child, &status, 0) == child && WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

static void there_and_on(struct scene *s)
{
	move(s, 500, s->cleft, s->far, 20);
	move(s, 600, s->far, s->cleft, 20);
}

static void impossible_books_stop(void)
{
	CHECK(status_of(too_many) == 2);
	CHECK(status_of(to_and_fro) == 2);
	CHECK(status_of(told_backwards) == 2);
	CHECK(status_of(counted_and_moved) == 2);
	CHECK(status_of(picks_nothing) == 2);
	CHECK(status_of(there_and_on) == 0);
}

static void few_words_pick(void)
{
	struct scene s;

	scene_init(&s);
	line_remark(move(&s, UNTIMED, s.cleft, s.far, 5), "windy");
	page_close(&s.page, &s.out);
	CHECK(strcmp(buf_cstr(&s.out), "2026-01-11       move    L1     form=cleft count=5 into=yard/b2   # windy\n") == 0);
	scene_release(&s);
}

static void calendar(void)
{
	char text[11];

	CHECK(day_of(2027, 12, 31) == DAYS - 1);
	CHECK(strcmp(day_text(text, day_of(2026, 2, 28) + 1), "2026-03-01") == 0);
	CHECK(day_weekday(day_of(2026, 1, 1)) == 3); /* a Thursday, ISO 8601 */
	CHECK(!day_works(day_of(2026, 12, 25)) && day_works(day_of(2027, 1, 11)));
}

int main(void)
{
	impossible_books_stop();
	few_words_pick();
	calendar();
	return failures != 0;
}
