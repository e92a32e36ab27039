#include <stdlib.h>

#include "cli/tool_jot_ask.h"

static bool ask, undo;
static const char *complete;
static struct tool_jot jot;

static const struct opt options[] = {
	OPT_FLAG('i', "ask", &ask, "ask for each part of the entry on the terminal"),
	OPT_FLAG('n', "dry", &jot.dry, "print what would be written, and write nothing"),
	OPT_FLAG(0, "undo", &undo, "take out your own last entry of the day"),
	OPT_TEXT(0, "by", &jot.by, "PERSON", "who you are; else $WITHY_PERSON, else your login name\nif the house file has it"),
	OPT_TEXT(0, "into", &jot.into, "FILE", "append to FILE; else to the last file of the book"),
	OPT_FLAG(0, "no-time", &jot.no_time, "fill in no time"),
	OPT_DAY(0, "on", &tool.on, "the day of the entry, without a time; else $WITHY_TODAY,\nelse now"),
	OPT_TEXT('H', "house", &tool.house, "FILE", "the house file; else $WITHY_HOUSE, else house.yaml here or in the nearest directory above"),
	OPT_TEXT(0, "complete", &complete, "WHAT", "for completion: print what may follow the words;\nWHAT: entry, ids, dates or a field"),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-jot",
	.purpose = "write an entry quickly, checked with the whole book",
	.usage = "[options] [DATE] [TIME] EVENT SUBJECT[,...] [FIELD=VALUE | VALUE ...]\n[options] -\n--ask [options]\n--undo [options]",
	.options = options,
	.exits = "0  written; the entry is on the disk\n1  refused; nothing was written\n2  usage error, or something could not be read or written",
	.example = "wy-jot grade L061 at=bench type=SH count=1:6,2:11\nappends the entry with date, time and your name, if the checker agrees",
};

static struct slice *operands(void)
{
	struct slice *word = mem_array(tool.n_operands, sizeof *word);

	for (size_t i = 0; i < tool.n_operands; i++)
		word[i] = slice_of(tool.operands[i]);
	return word;
}

/* Lines of standard input, all of them or none. */
static int write_lines(void)
{
	struct buf text = BUF_INIT;
	struct tool_jot_input input = { .name = tool_path_name("-") };
	int status;

	tool_must_read("-", &text);
	input.text = buf_slice(&text);
	status = tool_jot_write(&jot, &input);
	buf_release(&text);
	return status;
}

static void check_use(void)
{
	bool lines = tool.n_operands == 1 && strcmp(tool.operands[0], "-") == 0;

	if (ask + undo + (complete != NULL) > 1)
		tool_misused("give only one of --ask, --undo and --complete");
	if ((ask || undo) && tool.n_operands)
		tool_misused("--%s takes no words of an entry", ask ? "ask" : "undo");
	if (!ask && !undo && !complete && !tool.n_operands)
		tool_misused("write an entry, such as wy-jot seal L061 with=wax, or --ask to be asked for one");
	if (complete && lines)
		tool_misused("--complete takes the words of one entry, not -");
}

int main(int argc, char **argv)
{
	static struct book book; /* lasts as long as the process */
	struct tool_jot_input input = { .word = NULL };
	struct slice *word;
	int status;

	tool_start(&page, argc, argv);
	check_use();
	word = operands();
	input.word = word;
	input.n = tool.n_operands;
	jot.book = &book;
	tool_jot_start(&jot);
	if (complete)
		status = tool_jot_complete(&jot, complete, word, input.n);
	else if (undo)
		status = tool_jot_undo(&jot);
	else if (ask)
		status = tool_jot_ask(&jot);
	else if (input.n == 1 && slice_eq(word[0], SLICE("-")))
		status = write_lines();
	else
		status = tool_jot_write(&jot, &input);
	free(word);
	return tool_finish(status);
}
