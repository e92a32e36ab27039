#include "cli/prompt.h"

#include <pwd.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>
/* its own order: readline.h needs stdio.h */
#include <readline/readline.h>

#include "jot/jot_choices.h"

/* What readline's callbacks, which take no context, work with. */
static struct {
	prompt_complete *complete;
	void *context;
	struct slice first;
	struct buf text;           /* a C string of `first` */
	struct jot_choices choices;
	size_t at;
	bool left;
} asking;

/*
 * Readline would look users up for a ~ and for a missing HOME. A C library that is linked statically loads others
 * at run time for that, which may not fit it. Nothing here has a ~, so there are no users.
 */
struct passwd *getpwuid(uid_t uid)
{
	(void)uid;
	return NULL;
}

struct passwd *getpwnam(const char *name)
{
	(void)name;
	return NULL;
}

struct passwd *getpwent(void)
{
	return NULL;
}

void setpwent(void)
{
}

void endpwent(void)
{
}

bool prompt_is_possible(void)
{
	return isatty(STDIN_FILENO) && isatty(STDOUT_FILENO);
}

static int leave(int count, int key)
{
	(void)count;
	(void)key;
	asking.left = true;
	rl_done = 1;
	return 0;
}

static int put_first(void)
{
	asking.text.n = 0;
	buf_add(&asking.text, asking.first);
	if (asking.first.n)
		rl_insert_text(buf_cstr(&asking.text));
	return 0;
}

/* The next choice that goes on as the text does. The memory is readline's. */
static char *next_choice(const char *text, int state)
{
	if (state == 0)
		asking.at = 0;
	while (asking.at < asking.choices.n) {
		struct slice word = asking.choices.at[asking.at++].word;
		char *copy;

		if (!slice_starts(word, slice_of(text)))
			continue;
		copy = malloc(word.n + 1);
		if (!copy)
			return NULL;
		memcpy(copy, word.p, word.n);
		copy[word.n] = '\0';
		return copy;
	}
	return NULL;
}

static char **find_choices(const char *text, int start, int end)
{
	(void)start;
	(void)end;
	rl_attempted_completion_over = 1;
	rl_completion_suppress_append = 1;
	jot_choices_release(&asking.choices);
	if (asking.complete)
		asking.complete(asking.context, slice_of(text), &asking.choices);
	return rl_completion_matches(text, next_choice);
}

/* Once: an escape that nothing follows within a tenth of a second leaves. */
static void set_up(void)
{
	static bool done;

	if (done)
		return;
	done = true;
	rl_readline_name = "wy-jot";
	rl_variable_bind("enable-bracketed-paste", "off");
	rl_variable_bind("keyseq-timeout", "100");
	rl_variable_bind("completion-ignore-case", "off");
	rl_variable_bind("show-all-if-ambiguous", "on");
	rl_initialize();
	rl_bind_keyseq("\\e", leave);
	rl_completer_word_break_characters = "";
	rl_completer_quote_characters = "";
	rl_attempted_completion_function = find_choices;
	rl_startup_hook = put_first;
}

bool prompt_ask(const char *label, struct slice first, prompt_complete *complete, void *context, struct buf *out)
{
	char *line;

	set_up();
	asking.complete = complete;
	asking.context = context;
	asking.first = first;
	asking.left = false;
	line = readline(label);
	out->n = 0;
	if (line && !asking.left)
		buf_add(out, slice_trim(slice_of(line)));
	if (!line || asking.left)
		putchar('\n');
	jot_choices_release(&asking.choices);
	buf_release(&asking.text);
	free(line);
	return line && !asking.left;
}
