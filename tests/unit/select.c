/* Conditions on entries: which entries each finds, and what is wrong with the ones that are wrong. */
#include "book/diag.h"
#include "book/parse.h"
#include "book/select.h"
#include "check.h"

static struct vocab vocab;
static struct diags diags;
static struct parser parser;

static const char *const LINES[] = {
	"2026-03-02 fell T061 parcel=P12 girth=1420mm age=17 from=hale # the pair",
	"2026-03-03 10:20 cleave L061 tree=T061 count=SH:18,S6:2 cull=knot:1 into=yard/b1 by=mk",
	"2026-04-21 buy C014 form=cleft count=SH:148 claimed=A:40 price=1710.00GBP from=brook into=yard/b2 by=jo",
	"2026-06-09 order O-311 count=SH/1:6 mass=2lb8oz..2lb10oz due=2026-10-15",
	"2026-06-09 09:35 pool M26-05 lot=L061:34,L062:22 at=K26-05 type=SH by=mk",
	"2026-06-09 10:10:30 probe K26-05 in=a:L061/SH,b:C014/SH mc=a:24.5%,b:30%+ wood=16C meter=pin2/cane",
	"2026-06-18 probe K26-05 mc=a:6%-,c:- wood=84.2F meter=pin2",
	"2026-06-08 16:00 meter hyg1 true=20C read=68F",
	"2026-06-08 16:10 meter pin2 true=20% read=20.4%",
	"2026-07-07 14:05 judge M26-05/01 grade=1 mass=1640g handle-end=butt by=mk",
	"2026-10-31 cost south kind=power price=284.20NZD over=2026-10-01..2026-10-31 doc=M-1026",
	"2028-02-29 note store/r1 text=\"room re-lined, \\\"dry\\\"\" # M\xc4\x81ia",
};

enum { NLINES = sizeof LINES / sizeof *LINES };

/* A condition, and a letter for each line that fits it: a is the first. */
static const char *const CASES[][2] = {
	{ "event=probe", "fg" }, { "event=probe,pool", "efg" }, { "event~^p", "efg" }, { "except:event=probe", "abcdehijkl" },
	{ "subject=M26-05", "e" }, { "subject=M26-05/", "ej" }, { "subject=M26-05/01", "j" }, { "subject=L06", "" },
	{ "subject~^[A-Z]\\d+$", "abc" },
	{ "date=2026-06-09", "def" }, { "date=2026-06", "defghi" }, { "date=2026", "abcdefghijk" }, { "date=2028", "l" },
	{ "date=2026-03..2026-04", "abc" }, { "date=2026-07..", "jkl" }, { "date=..2026-03-02", "a" },
	{ "date=2026-06-09..2026-06-18", "defg" }, { "date=2027", "" }, { "date=2026-03-02,2028-02", "al" }, { "date~-0[67]-", "defghij" },
	{ "time=10:20", "b" }, { "time=10:10", "f" }, { "time=10:10:30", "f" }, { "time=10:10:31", "" }, { "time=10:10..10:20", "bf" },
	{ "time=..10:00", "e" }, { "time=16:00..", "hi" }, { "time=-", "acdgkl" }, { "time~^1", "bfhij" },
	{ "remark~pair", "a" }, { "remark=the pair", "a" }, { "remark~^M\xc4\x81.a$", "l" }, { "has=remark", "al" }, { "has=time", "befhij" },
	{ "has=mc,text", "fgl" }, { "except:has=by", "adfghikl" },
	{ "line~into=.*by=jo$", "c" }, { "except:line~ ", "" },
	{ "touches=L061", "bef" }, { "touches=SH", "bcde" }, { "touches=M26-05", "ej" }, { "touches=M26-05/01", "j" }, { "touches=K26-05", "efg" },
	{ "touches=mk", "bej" }, { "touches=pin2", "fgi" }, { "touches=yard", "bc" }, { "touches=dry", "" }, { "touches=T061,C014", "abcf" },
	{ "tree=T061", "b" }, { "by=mk,jo", "bcej" }, { "by~^m", "bej" }, { "except:by~^m", "acdfghikl" },
	{ "into=yard", "" }, { "into=yard/", "bc" }, { "into=yard/b1,yard/b2", "bc" }, { "meter=pin2", "g" }, { "meter=pin2/", "fg" },
	/* labels, and what is of another type in some event */
	{ "lot=L061", "e" }, { "lot=L061:34", "e" }, { "lot=L061:33", "" }, { "lot=L062:20..", "e" }, { "lot=34", "e" }, { "lot~^L", "e" },
	{ "cull=knot", "b" }, { "cull=knot:", "b" }, { "cull=knot:1", "b" }, { "cull=knot:2", "" }, { "cull=1", "b" }, { "cull~^knot:1$", "b" },
	{ "count=SH", "bc" }, { "count=SH/", "bcd" }, { "count=SH:100..", "c" }, { "count=2", "b" }, { "count=SH/1:", "d" }, { "count=S6:2,SH/1:6", "bd" },
	{ "in=L061/SH", "f" }, { "in=L061/", "f" }, { "in=a:", "f" }, { "in=b:L061/SH", "" }, { "in=b:C014/", "f" },
	/* numbers across units, at their bounds */
	{ "mass=1640g", "j" }, { "mass=1.64kg", "j" }, { "mass=2lb9oz", "d" }, { "mass=1134g..1180g", "d" }, { "mass=3lb..4lb", "j" }, { "mass=..1kg", "" },
	{ "mass=..2lb8oz", "d" }, { "mass=2lb10oz..3lb", "d" }, { "mass=1190.68g..1.5kg", "" }, { "girth=1..2m", "a" }, { "girth=142cm", "a" },
	{ "mc=24.5%", "f" }, { "mc=20%..25%", "f" }, { "mc=35%..", "f" }, { "mc=b:35%..", "f" }, { "mc=a:35%..", "" }, { "mc=..29%", "fg" },
	{ "mc=..5%", "g" }, { "mc=7%..20%", "" }, { "mc=30%+", "f" }, { "mc=6%-", "g" }, { "mc=31%+", "" }, { "mc=-", "g" }, { "mc=c:-", "g" },
	{ "mc=a:-", "" }, { "mc~\\+$", "f" }, { "mc=a:", "fg" },
	{ "wood=16C", "f" }, { "wood=29C", "g" }, { "wood=60F..61F", "f" }, { "true=20C", "h" }, { "true=20%", "i" }, { "true=68F", "h" }, { "read=20C..21C", "h" },
	{ "price=1710GBP", "c" }, { "price=100NZD..", "k" }, { "price=..2000GBP", "c" }, { "price=1000NZD..", "" },
	{ "due=2026-10", "d" }, { "due=2026-10-15..", "d" }, { "due=..2026-10-14", "" }, { "over=2026-10-15", "k" }, { "over=2026-09", "" }, { "over=2026-10-31..", "k" },
	{ "due=-", "" },
	{ "grade=1", "j" }, { "handle-end=butt", "j" }, { "handle-end=tip,butt", "j" },
	{ "text=room re-lined, \"dry\"", "l" }, { "text~^room.*\"dry\"$", "l" }, { "text~\\\\", "" }, { "text=room", "" },
};

static const char *const WRONG[][2] = {
	{ "wieght=1", "unknown field 'wieght'; write a file whose name has = or ~ as ./NAME" },
	{ "wod=1C", "unknown field 'wod'; perhaps wood=?" },
	{ "evnt=probe", "unknown field 'evnt'; perhaps event=?" },
	{ "event=prob", "'prob' is not a known event; perhaps probe?" },
	{ "event=", "'' is not a known event; withy-events(7) lists them" },
	{ "date=2026-13", "'2026-13' is not a valid date; write YYYY-MM-DD, YYYY-MM or YYYY, or a range such as 2026-06..2026-08" },
	{ "date=..", "'..' is not a valid date; write YYYY-MM-DD, YYYY-MM or YYYY, or a range such as 2026-06..2026-08" },
	{ "date=2026-07..2026-06", "'2026-07..2026-06' is not a valid date; write YYYY-MM-DD, YYYY-MM or YYYY, or a range such as 2026-06..2026-08" },
	{ "date=2026-02-29", "'2026-02-29' is not a valid date; write YYYY-MM-DD, YYYY-MM or YYYY, or a range such as 2026-06..2026-08" },
	{ "date=0000", "'0000' is not a valid date; write YYYY-MM-DD, YYYY-MM or YYYY, or a range such as 2026-06..2026-08" },
	{ "due=soon", "'soon' is not a valid date; write YYYY-MM-DD, YYYY-MM or YYYY, or a range such as 2026-06..2026-08" },
	{ "time=9:00", "'9:00' is not a valid time; write HH:MM or HH:MM:SS, a range of them, or - for no time" },
	{ "time=09:00Z", "'09:00Z' is not a valid time; write HH:MM or HH:MM:SS, a range of them, or - for no time" },
	{ "subject=", "'' is not a valid id" },
	{ "lot=L06*", "'L06*' is not a valid id; for a pattern write ~ in place of =" },
	{ "by=", "'by' has no value to compare with; has=FIELD matches any value" },
	{ "by=mk,", "'by' has no value to compare with; has=FIELD matches any value" },
	{ "has=wod", "unknown field 'wod'; perhaps wood=?" },
	{ "has~w", "'has' requires words, not a pattern; write = in place of ~" },
	{ "line=x", "'line' requires a pattern: line~PATTERN" },
	{ "mass=1640", "'1640' has no unit; write one of g, kg, lb, oz" },
	{ "mass=16st", "'16st' does not end in a valid unit; use one of g, kg, lb, oz" },
	{ "wood=warm", "'warm' is not a temperature" },
	{ "mc=9%..8%", "'9%..8%' ends before it starts" },
	{ "mc=900%", "'900%' is outside the possible range of mc" },
	{ "price=5DLR", "'5DLR' does not end in a valid unit; use one of NZD, GBP or another ISO 4217 code" },
	{ "count=a:b", "'b' is not a whole number" },
	{ "handle-end=top", "'top' is not a valid value; use one of butt, tip" },
	{ "by~m(k", "'m(k' is not a valid pattern: missing closing parenthesis, at its byte 4" },
};

static void check_found(struct select *s, const char *want)
{
	struct buf error = BUF_INIT, got = BUF_INIT;

	for (size_t i = 0; i < NLINES; i++) {
		const struct line *l = parse_line(&parser, slice_of(LINES[i]), i + 2, 0);

		CHECK_INT(l->kind, LINE_EVENT);
		if (select_match(s, l, &error) == SELECT_YES)
			buf_char(&got, (char)('a' + i));
	}
	CHECK_TEXT(buf_slice(&got), want);
	CHECK_INT(error.n, 0);
	buf_release(&error);
	buf_release(&got);
}

static void check_cases(void)
{
	for (size_t i = 0; i < sizeof CASES / sizeof *CASES; i++) {
		struct buf error = BUF_INIT;
		struct select s;

		CHECK_CASE(i);
		select_init(&s, &vocab);
		CHECK(select_is_condition(slice_of(CASES[i][0])));
		if (!select_add(&s, slice_of(CASES[i][0]), &error))
			CHECK_TEXT(buf_slice(&error), CASES[i][0]);
		else
			check_found(&s, CASES[i][1]);
		select_release(&s);
		buf_release(&error);
	}
	CHECK_CASE(-1);
}

static void check_several(void)
{
	struct buf error = BUF_INIT;
	struct select s;

	select_init(&s, &vocab);
	check_found(&s, "abcdefghijkl");
	CHECK(select_add(&s, SLICE("by=mk"), &error));
	CHECK(select_add(&s, SLICE("except:event=pool"), &error));
	check_found(&s, "bj");
	s.any = true;
	check_found(&s, "abcdefghijkl");
	select_release(&s);
	select_init(&s, &vocab);
	CHECK(select_add(&s, SLICE("by=jo"), &error));
	CHECK(select_add(&s, SLICE("event=fell"), &error));
	s.any = true;
	check_found(&s, "ac");
	select_release(&s);
	buf_release(&error);
}

static void check_wrong(void)
{
	for (size_t i = 0; i < sizeof WRONG / sizeof *WRONG; i++) {
		struct buf error = BUF_INIT;
		struct select s;

		CHECK_CASE(i);
		select_init(&s, &vocab);
		CHECK(!select_add(&s, slice_of(WRONG[i][0]), &error));
		CHECK_TEXT(buf_slice(&error), WRONG[i][1]);
		select_release(&s);
		buf_release(&error);
	}
	CHECK_CASE(-1);
}

static void check_shape(void)
{
	static const char *const FILES[] = { "book.wy", "./a=b", "/x=y", "a/b=c", "-", "=x", "except:", "caf\xc3\xa9=1", "a b=c", "" };

	for (size_t i = 0; i < sizeof FILES / sizeof *FILES; i++) {
		CHECK_CASE(i);
		CHECK(!select_is_condition(slice_of(FILES[i])));
	}
	CHECK_CASE(-1);
	CHECK(select_is_condition(SLICE("except:x~")));
}

/* A pattern that would never end is told and is no answer. */
static void check_limit(void)
{
	struct buf text = BUF_INIT, error = BUF_INIT;
	struct select s;

	buf_str(&text, "2026-03-05 note L061 text=");
	buf_fill(&text, 'a', 200);
	select_init(&s, &vocab);
	CHECK(select_add(&s, SLICE("except:text~^(a+)+\\d$"), &error));
	CHECK_INT(select_match(&s, parse_line(&parser, buf_slice(&text), 2, 0), &error), SELECT_FAILED);
	CHECK_TEXT(buf_slice(&error), "the pattern '^(a+)+\\d$' takes too many steps on this line; make it simpler");
	select_release(&s);
	buf_release(&text);
	buf_release(&error);
}

/* No field may have one of the names that conditions keep for themselves. */
static void check_names(void)
{
	static const char *const KEPT[] = { "event", "subject", "date", "time", "remark", "line", "has", "touches" };

	for (size_t i = 0; i < sizeof KEPT / sizeof *KEPT; i++)
		CHECK(vocab_field(&vocab, slice_of(KEPT[i])) == NULL);
}

int main(void)
{
	vocab_init(&vocab);
	diags_init(&diags);
	parser_init(&parser, &vocab, &diags);
	check_shape();
	check_cases();
	check_several();
	check_wrong();
	check_limit();
	check_names();
	parser_release(&parser);
	diags_release(&diags);
	return check_end();
}
