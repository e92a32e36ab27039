#include "intake/intake_note.h"

const char *const note_words[NOTE_KINDS] = {
	"title", "heading", "blank", "trailer", "no-reading", "not-wanted", "repeat", "in-book", "unreadable",
	"cell", "gap", "clock-back", "clock-shift", "interval", "summer-time", "unlike", "unit", "form",
	"implausible", "jump", "stuck", "sheet", "file",
	"left-out", "section", "differs", "order",
};
