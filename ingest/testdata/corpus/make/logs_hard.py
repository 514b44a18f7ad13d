"""Logs that are easy to misread without a word: units left out, dates in many styles, headings that can mean two things."""

import datetime as dt
import random

from corpus import *

Y = lambda f: (lambda r: "yes" if r[f] else "no")


def units_left_out():
    log = Log("units-left-out", "Python csv and pandas: temperatures without a unit that can only be Fahrenheit; a column that mixes both; fractions for percents; conductivity in mS without saying so; weeks; TDS, which is no conductivity.")
    base = lambda seed, n=12: records(seed, n, ["Danio rerio", "Corydoras panda"], ["H1", "H2"], day(2024, 2, 3))
    first = [Col("Tank", "system"), Col("Species", "species"), Col("Set up", "began"), Col("Spawned", "spawned", Y("spawned")), Col("Spawn date", "spawned_at"), Col("Eggs", "eggs")]
    recs = base(501)
    for r in recs:
        r["f"] = round(r["temperature_c"] * 1.8 + 32, 1)
        r["temperature_c"] = (r["f"] - 32) / 1.8
        r["weeks"] = random.Random(r["eggs"] or 0).choice([1, 2, 3])
        r["conditioning_days"] = 7 * r["weeks"]
    table(log.file("Lena Hjort/fahrenheit.csv", "text").sheet(), first + [Col("Temp", "temperature_c", lambda r: r["f"]), Col("Conditioning (weeks)", "conditioning_days", lambda r: r["weeks"]), Col("TDS (ppm)", "", lambda r: 180)], recs)
    recs = base(502)
    cols = first + [Col("Temp", "temperature_c"), Col("pH", "ph")]
    for i, r in enumerate(recs):
        r["_doubt"]["Temp"] = (r["temperature_c"] if i % 3 else round(r["temperature_c"] * 1.8 + 32, 1), "unit-missing|unit-unknown", True)
    table(log.file("Lena Hjort/mixed.csv", "text-pandas").sheet(), cols, recs)
    recs = base(503)
    cols = first + [Col("Water change", "water_change_pct"), Col("Conductivity", "conductivity_us_cm"), Col("Temp (°C)", "temperature_c")]
    for r in recs:
        r["_doubt"]["Water change"] = (r["water_change_pct"] / 100, "unit-missing|unit-implied|unusual|number-open", False)
        r["_doubt"]["Conductivity"] = (round(r["conductivity_us_cm"] / 1000, 3), "unit-missing|unit-implied|unusual", False)
        r["_known"] = dict(water_change_pct="*", conductivity_us_cm="*")
    table(log.file("Lena Hjort/fractions.csv", "text").sheet(), cols, recs)
    return log


def date_styles():
    log = Log("date-styles", "Python csv: months in words, two-digit years, clock times in many hands, 24:00, words for the time of day; partial and impossible dates.")
    s = log.file("Marek Zawada/styles.csv", "text", delim=";").sheet()
    recs = records(511, 24, ["Betta splendens"], ["D1", "D2"], day(2024, 1, 6), chance=0.8)
    mon = "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec".split()
    full = "January February March April May June July August September October November December".split()
    styles = [lambda d: "%d %s %d" % (d.day, mon[d.month - 1], d.year), lambda d: "%s %d, %d" % (mon[d.month - 1], d.day, d.year), lambda d: d.isoformat(), lambda d: "%d %s %d" % (d.day, full[d.month - 1], d.year), lambda d: "%d-%s-%02d" % (d.day, mon[d.month - 1], d.year % 100), lambda d: "%s %d %d" % (full[d.month - 1], d.day, d.year)]
    clocks = [("19:05", 19, 5), ("7.30pm", 19, 30), ("7:30 am", 7, 30), ("evening", None, None), ("", None, None), ("06:15", 6, 15)]
    cols = [Col("Tank", "system"), Col("Species", "species"), Col("Set up", "began", lambda r: r["w"]), Col("Spawned", "spawned", Y("spawned")), Col("Spawn date", "spawned_at", lambda r: r["ws"]), Col("Eggs", "eggs"), Col("Temp (°C)", "temperature_c"), Col("Hatch date", "hatch_to")]
    for i, r in enumerate(recs):
        r["w"] = styles[i % 6](r["began"])
        r["ws"] = None
        if r["spawned_at"]:
            word, h, m = clocks[i % 6]
            r["ws"] = (styles[(i + 2) % 6](r["spawned_at"]) + " " + word).strip()
            if h is not None:
                d = r["spawned_at"]
                r["spawned_at"] = dt.datetime(d.year, d.month, d.day, h, m)
    for i, (h, w, c) in {3: ("Set up", "April 2024", "date-partial"), 8: ("Set up", "31 June 2024", "date-unreadable"), 13: ("Set up", "29 Feb 2023", "date-unreadable"), 18: ("Set up", "3 Foo 2024", "date-unreadable"), 21: ("Set up", "last week", "date-unreadable")}.items():
        recs[i]["_doubt"][h] = (w, c, True)
    sprinkle(recs, cols, 51, 0.04, {"Temp (°C)": BAD_TEMPERATURE, "Eggs": BAD_EGGS})
    table(s, cols, recs)

    s = log.file("Marek Zawada/kurz.csv", "text", delim=";").sheet()
    recs = records(512, 14, ["Danio rerio"], ["D3"], day(2024, 1, 6), lang="de")
    short = dmy(".", "%y", pad=False)
    cols = [Col("Becken", "system"), Col("Art", "species"), Col("angesetzt am", "began", lambda r: short(r["began"])), Col("abgelaicht j/n", "spawned", lambda r: "j" if r["spawned"] else "n"), Col("Laichdatum", "spawned_at", lambda r: short(r["spawned_at"])), Col("Eierzahl", "eggs"), Col("Temp. (°C)", "temperature_c", lambda r: comma(r["temperature_c"]))]
    sprinkle(recs, cols, 52, 0.05, {"Temp. (°C)": BAD_TEMPERATURE_COMMA, "Eierzahl": [("viele", "count-word|number-unreadable")]})
    table(s, cols, recs)
    return log


def headings_of_two_minds():
    log = Log("headings-two-meanings", "R write.csv: Spawned and Hatched as dates, Free swimming as a number, shares of fertile eggs that are no numbers of eggs; the reverse in a second file.")
    s = log.file("Noor Vandersteen/dates.csv", "R-text", how="csv-blank").sheet()
    recs = records(521, 20, ["Apistogramma cacatuoides"], ["E1", "E2"], day(2023, 3, 3))
    for r in recs:
        r["rate"] = "%d%%" % (100 * r["fertile"] / r["eggs"]) if r["eggs"] else None
        if not r["spawned"]:
            r["spawned"] = None  # a blank date is no no
    cols = [Col("Tank", "system"), Col("Species", "species"), Col("Set up", "began"), Col("Spawned", "spawned spawned_at", lambda r: r["spawned_at"]), Col("Eggs", "eggs"), Col("Fertile %", "", lambda r: r["rate"]), Col("Hatched", "hatch_to"), Col("Free swimming", "free_swimming"), Col("Temp °C", "temperature_c")]
    sprinkle(recs, cols, 53, 0.05, {"Temp °C": BAD_TEMPERATURE, "Eggs": BAD_EGGS})
    table(s, cols, recs)
    s = log.file("Noor Vandersteen/numbers.csv", "R-text", how="csv-blank").sheet()
    recs = records(522, 20, ["Apistogramma cacatuoides"], ["E3"], day(2024, 3, 3))
    cols = [Col("Tank", "system"), Col("Species", "species"), Col("Set up", "began"), Col("Spawned", "spawned", Y("spawned")), Col("Laid on", "spawned_at"), Col("Eggs", "eggs"), Col("Fertile", "fertile"), Col("Hatched", "hatched"), Col("Free swimming", "swim_to"), Col("Temp °C", "temperature_c")]
    sprinkle(recs, cols, 54, 0.05, {"Temp °C": BAD_TEMPERATURE, "Fertile": [("85%", "number-unreadable|unit-unknown"), ("most", "count-word|number-unreadable")], "Eggs": BAD_EGGS})
    table(s, cols, recs)
    return log


def keepers_in_a_column():
    log = Log("keepers-in-a-column", "gnumeric xlsx: the records secretary's sheet of several keepers, named in a column; plus and minus for yes and no; group names.")
    s = log.file("secretary/all.xlsx", "gnumeric-xlsx").sheet("2024")
    recs = records(531, 24, ["Danio rerio", "Corydoras paleatus", "Betta splendens"], ["1", "2", "3"], day(2024, 1, 3))
    for i, r in enumerate(recs):
        r["keeper"] = ["Ana Brito", "Odd Nygård", "Zoë Leclerc"][i % 3]
    cols = [Col("Keeper", "keeper"), Col("Tank", "system"), Col("Species", "species"), Col("Set up", "began"), Col("Spawned", "spawned", lambda r: "+" if r["spawned"] else "-"), Col("Spawn date", "spawned_at"), Col("Eggs", "eggs"), Col("Eggs counted how", "", lambda r: None), Col("Temp °C", "temperature_c"), Col("Live food", "live_food", lambda r: "+" if r["live_food"] else "-")]
    sprinkle(recs, cols, 55, 0.06, {"Temp °C": BAD_TEMPERATURE, "Eggs": BAD_EGGS, "Live food": [("+-", "yes-no-unreadable"), ("(+)", "yes-no-unreadable")]})
    table(s, cols, recs)
    return log


def book_of_texts():
    log = Log("book-of-texts", "openpyxl: numbers and dates kept as text, dates as bare serial numbers under a heading of dates, a range that became a date, line breaks and apostrophes.")
    s = log.file("Petra Skoglund/text.xlsx", "openpyxl").sheet("log")
    recs = records(541, 22, ["Danio rerio", "Trigonostigma heteromorpha"], ["P1", "P2"], day(2023, 3, 13))
    serial = lambda d: None if d is None else (d - day(1899, 12, 30)).days
    cols = [Col("Tank", "system"), Col("Species", "species"), Col("Set up", "began", lambda r: serial(r["began"])), Col("Temp °C", "temperature_c", lambda r: comma(r["temperature_c"])), Col("pH", "ph", lambda r: str(r["ph"]).replace(".", ",")), Col("Spawned", "spawned", Y("spawned")), Col("Spawn date", "spawned_at", lambda r: dmy(".")(r["spawned_at"])), Col("Eggs", "eggs", lambda r: None if r["eggs"] is None else str(r["eggs"])), Col("Number hatched", "hatched"), Col("Notes", "notes", lambda r: r["notes"] and "line one\n" + r["notes"])]
    sprinkle(recs, cols, 56, 0.07, {"Temp °C": BAD_TEMPERATURE_COMMA, "Eggs": [(Styled(day(2023, 4, 3), "d-mmm"), "number-unreadable|count-word"), ("lots", "count-word|number-unreadable"), (Styled(day(2023, 5, 10), "m/d"), "number-unreadable|count-word")], "pH": [(Styled(day(2023, 5, 6), "d-mmm"), "number-unreadable"), ("72", "implausible")], "Number hatched": BAD_COUNT})
    table(s, cols, recs)
    for line, r in zip(log.expected["attempts"], recs):
        line["notes"] = r["notes"]
    return log


def stray_quotes():
    log = Log("stray-quotes", "A text editor: quotation marks that never close, inches marks, quoted line breaks, bytes of another encoding in one line, a sep= line.")
    s = log.file("Rolf Stensrud/notes.csv", "text", eol="\r\n").sheet()
    recs = records(551, 18, ["Corydoras paleatus"], ["G1", "G2"], day(2023, 4, 3))
    cols = [Col("Tank", "system"), Col("Species", "species"), Col("Set up", "began"), Col("Spawned", "spawned", Y("spawned")), Col("Spawn date", "spawned_at"), Col("Eggs", "eggs"), Col("Temp °C", "temperature_c"), Col("Notes", "notes")]
    s.put("\0sep=,")
    for r in recs:
        r["notes"] = None
    sprinkle(recs, cols, 57, 0.05, {"Temp °C": BAD_TEMPERATURE, "Eggs": BAD_EGGS})
    table(s, cols, recs)
    plain_rows = [i for i, r in enumerate(recs) if not r["_doubt"]]
    for k, note in zip(plain_rows[1:4], ['"never closed', 'the 20" tank', 'said "yes" twice']):
        row = s.rows[k + 2]
        s.rows[k + 2] = ["\0" + ",".join(as_text(c) for c in row[:-1]) + "," + note]
        for t in log.expected["attempts"]:
            if t["source_row"] == k + 3:
                t["notes"] = note.strip('"')
    return log


def turned():
    log = Log("turned", "Python csv: one attempt a column, the headings down the first column.")
    s = log.file("Sigrid Moen/turned.csv", "text").sheet()
    recs = records(561, 8, ["Danio rerio"], ["S1", "S2"], day(2024, 3, 13))
    lines = [("Tank", "system"), ("Species", "species"), ("Set up", "began"), ("Temp °C", "temperature_c"), ("Spawned", "spawned"), ("Spawn date", "spawned_at"), ("Eggs", "eggs")]
    for head, f in lines:
        s.put(head, *[("yes" if r[f] else "no") if f == "spawned" else r[f] for r in recs])
    for i, r in enumerate(recs):
        s.expect("attempts", 1, **{f: r[f] for _, f in lines if f != "eggs"}, species_as_written=r["species"], notes="*")
        if r["spawned"]:
            s.expect("clutches", 1, system=r["system"], species=r["species"], laid_to=r["spawned_at"], eggs=r["eggs"], eggs_method="counted", temperature_c=r["temperature_c"], attempt="*")
    return log


LOGS = [units_left_out, date_styles, headings_of_two_minds, keepers_in_a_column, book_of_texts, stray_quotes, turned]
