#!/usr/bin/python3
"""Adds money to a random book: prices, costs of every subject and kind, credits and rates.

    cost_random.py SEED <BOOK >BOOK

The house file is tests/cases/cost/random.yaml. Every price has a rate on or before its day. The currencies
have none, two and three decimals. The lines of the book stay as they are, but for their price=.
"""
import random
import re
import sys
from datetime import date, timedelta
from decimal import Decimal

CURRENCIES = {"NZD": 2, "GBP": 2, "JPY": 0, "KWD": 3}
KINDS = ("timber", "haulage", "felling", "power", "service", "freight", "unlisted")


def amount(rnd, least=0):
    code = rnd.choice(("NZD", "NZD", "NZD", "GBP", "JPY", "KWD"))
    places = CURRENCIES[code]
    minor = max(least, rnd.choice((0, 1, 7, 100, 9999, 123457, rnd.randint(1, 10**7))))
    return f"{Decimal(minor).scaleb(-places):f}{code}"


def subjects(lines):
    found = set()
    for line in lines:
        words = line.split()
        event = next((w for w in words[1:3] if w.isalpha()), "")
        if event in ("fell", "cleave", "buy", "tally", "pool", "load", "make", "order"):
            found.add(words[words.index(event) + 1])
        found.update(m for m in re.findall(r" (?:into|at|kiln|tree|parcel)=(\S+)", line))
    return sorted(found)


def main():
    rnd = random.Random(sys.argv[1])
    lines = [line.rstrip("\n") for line in sys.stdin]
    days = sorted(date.fromisoformat(line[:10]) for line in lines if re.match(r"\d{4}-", line))
    first, last = days[0], days[-1]
    span = (last - first).days
    for line in lines:
        if re.search(r" (buy|fell) | found=[1-9]", line) and "price=" not in line and rnd.random() < 0.8:
            body, mark, remark = line.partition("   #")
            line = f"{body} price={amount(rnd)}{mark}{remark}"
        print(line)
    for code in ("GBP", "JPY", "KWD"):
        for day in {first - timedelta(days=40), *(first + timedelta(days=rnd.randint(0, max(span, 1))) for _ in range(3))}:
            print(f"{day} rate {code} is={rnd.randint(1, 5 * 10**8) / 10**8:.8f}NZD")
    names = subjects(lines) + ["O-1", "nowhere"]
    for number in range(rnd.randint(1, 40)):
        day = first + timedelta(days=rnd.randint(-30, span + 10))
        name = rnd.choice(names)
        if rnd.random() < 0.1:
            print(f"{day} credit {rnd.choice([n for n in names if chr(47) not in n])} from=hale price={amount(rnd, 1)} doc=C{number}")
            continue
        over = ""
        if rnd.random() < 0.4:
            start = day + timedelta(days=rnd.randint(-60, 40))
            over = f" over={start}..{start + timedelta(days=rnd.randint(0, 120))}"
        energy = f" energy={rnd.randint(1, 3000)}kWh" if rnd.random() < 0.3 else ""
        sign = "-" if rnd.random() < 0.05 else ""
        print(f"{day} cost {name} kind={rnd.choice(KINDS)} price={sign}{amount(rnd, 1)}{over}{energy} doc=D{number}")


if __name__ == "__main__":
    main()
