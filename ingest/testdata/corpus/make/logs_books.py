"""Workbooks as they come: groups over headings, merged cells, sheets per species, year or tank, 1904, formulas."""

import datetime as dt
import random

from corpus import *


def two_row_headings():
    log = Log("book-two-row-headings", "LibreOffice xlsx: title rows, a group row with merged cells, a row of units, species merged down, hidden rows, comments, sums by formula, footnotes.")
    s = log.file("Ragnar Ellingsen/spawning 2024.xlsx", "libreoffice-xlsx").sheet("season")
    s.put("Spawning records 2024")
    s.put("Keeper: Ragnar Ellingsen")
    s.put()
    cols = [Col("Species", "species"), Col("Tank", "system"), Col("Set up", "began"), Col("Temp", "temperature_c"), Col("pH", "ph"), Col("Conductivity", "conductivity_us_cm"), Col("Water change", "water_change_pct"), Col("Spawned", "spawned", lambda r: "yes" if r["spawned"] else "no"),
            Col("Date laid", "spawned_at"), Col("Eggs", "eggs"), Col("Fertile", "fertile"), Col("Number hatched", "hatched"), Col("Hatch date", "hatch_to"), Col("Notes", "notes")]
    s.put("Set-up", None, None, "Water", None, None, None, "Clutch", None, None, None, None, None, None)
    s.merges += ["A4:C4", "D4:G4", "H4:M4"]
    head = s.put(*[c.head for c in cols])
    s.put(None, None, None, "°C", None, "µS/cm", "%", None, None, "n", "n", "n", None, None)
    s.columns(head, [(c.head, tells(c)) for c in cols])
    recs = []
    for i, sp in enumerate(["Danio rerio", "Corydoras paleatus", "Trigonostigma heteromorpha"]):
        recs += records(201 + i, 8, [sp], ["R%d" % (i + 1)], day(2024, 1 + 3 * i, 4))
    sprinkle(recs, cols, 21, 0.06, {"Temp": BAD_TEMPERATURE[:4], "pH": BAD_PH, "Eggs": BAD_EGGS, "Conductivity": BAD_COND, "Number hatched": BAD_COUNT})
    first = None
    for i, r in enumerate(recs):
        if i % 8:
            r["_write"]["Species"] = None
        n = row_of(s, cols, r)
        if i % 8:
            for table in ("attempts",):
                log.expected[table][-1]["species_as_written"] = r["species"]
                log.expected[table][-1]["species"] = r["species"]
            if log.expected["clutches"] and log.expected["clutches"][-1]["source_row"] == n:
                log.expected["clutches"][-1]["species"] = r["species"]
        else:
            s.merges.append("A%d:A%d" % (n, n + 7))
        first = first or n
    s.hidden_rows += [first + 3, first + 10]
    last = n
    s.rows[first + 1][3] = s.rows[first + 1][3]  # no change: the row keeps its cells
    s.put("Total", None, None, Formula("AVERAGE(D%d:D%d)" % (first, last)), None, None, None, None, None, Formula("SUM(J%d:J%d)" % (first, last)))
    s.put()
    s.put("* temperatures in the morning, before the lamps come on")
    return log


def epoch_1904():
    log = Log("book-1904", "openpyxl with the 1904 date system: real dates, formulas that were never worked out, error cells, comments, a hidden column.")
    s = log.file("Sunniva Aasen/mac log.xlsx", "openpyxl", epoch1904=True).sheet("log")
    recs = records(211, 24, ["Corydoras panda", "Danio rerio"], ["S1", "S2", "S3"], day(2023, 4, 2))
    cols = [Col("Tank", "system"), Col("Species", "species"), Col("Set up", "began"), Col("Females", "females"), Col("Temp °C", "temperature_c"), Col("GH (°dH)", "gh_dh"), Col("Live food", "live_food", lambda r: "yes" if r["live_food"] else "no"), Col("Spawned", "spawned", lambda r: "yes" if r["spawned"] else "no"), Col("Spawn date", "spawned_at"), Col("Eggs", "eggs"), Col("Fertile", "fertile"), Col("Hatch date", "hatch_to"), Col("Notes", "notes")]
    sprinkle(recs, cols, 22, 0.07, {"Eggs": [(Formula("K{r}+12"), "formula-empty"), ("#N/A", "cell-error"), (Formula("SUM(K2:K3)"), "formula-empty")], "Temp °C": [("#DIV/0!", "cell-error"), (Formula("23+1.5"), "formula-empty"), ("245", "implausible")], "GH (°dH)": [("#REF!", "cell-error"), ("hard", "number-unreadable|count-word")],
                                   "Fertile": [(Formula("J5*0.8"), "formula-empty"), ("#VALUE!", "cell-error")], "Hatch date": [(Formula("I4+3"), "formula-empty"), ("later", "date-unreadable")]})
    for r in recs:
        for h, d in list(r["_doubt"].items()):
            if isinstance(d[0], Formula):
                r["_doubt"][h] = (Formula(d[0].text.replace("{r}", "2")),) + d[1:]
    table(s, cols, recs)
    s.hidden_cols.append("F")
    row = next(i for i, r in enumerate(recs) if not r["_doubt"]) + 2
    s.rows[row - 1][4] = Styled(s.rows[row - 1][4], comment="thermometer new")
    return log


def sheet_per_species():
    log = Log("book-sheet-per-species", "LibreOffice ods: one sheet a species, named by it, headings that differ; a sheet that is no log; a hidden sheet.")
    f = log.file("Tove Kirkegaard/arter.ods", "libreoffice-ods")
    for i, (sheet, sp, heads) in enumerate([("Danio rerio", "Danio rerio", ("Tank", "Set up", "Temp °C", "Spawned", "Spawn date", "Eggs")), ("Panda cory", "Corydoras panda", ("Aquarium", "Date paired", "Water temp (°C)", "Spawned?", "Date laid", "Egg count")), ("Betta splendens", "Betta splendens", ("Box", "Paired on", "Temp (°C)", "Laid?", "Laying date", "Number of eggs"))]):
        s = f.sheet(sheet)
        recs = records(221 + i, 10, [sp], ["T%d" % i, "U%d" % i], day(2023, 2 + i, 3))
        cols = [Col(heads[0], "system"), Col(heads[1], "began"), Col("Males", "males"), Col("Females", "females"), Col(heads[2], "temperature_c"), Col("pH", "ph"), Col(heads[3], "spawned", lambda r: "yes" if r["spawned"] else "no"), Col(heads[4], "spawned_at"), Col(heads[5], "eggs"), Col("Hatch date", "hatch_to"), Col("Notes", "notes")]
        sprinkle(recs, cols, 23 + i, 0.05, {heads[2]: BAD_TEMPERATURE[:3], "pH": BAD_PH, heads[5]: BAD_EGGS})
        table(s, cols, recs, fixed=dict(species=sp, species_as_written=sheet))
        s.hidden = i == 2
    other = f.sheet("shopping")
    for x in ("Artemia eggs", "filter sponge", "two lamps"):
        other.put(x)
    return log


def sheet_per_year():
    log = Log("book-sheet-per-year", "gnumeric xlsx: one sheet a year, German, dates as text without a year (3.5.), the sheet's name says which.")
    f = log.file("Uwe Dankwart/Jahre.xlsx", "gnumeric-xlsx")
    short = lambda d: None if d is None else "%d.%d." % (d.day, d.month)
    for y in (2023, 2024):
        s = f.sheet(str(y))
        recs = [r for r in records(230 + y, 14, ["Apistogramma cacatuoides", "Trigonostigma heteromorpha"], ["1", "2"], day(y, 1, 5), lang="de")]
        cols = [Col("Becken", "system"), Col("Art", "species", lambda r: SPECIES[r["species"]]["de"]), Col("angesetzt am", "began", lambda r: short(r["began"])), Col("Temperatur (°C)", "temperature_c"), Col("pH-Wert", "ph"), Col("Leitwert (µS/cm)", "conductivity_us_cm"), Col("abgelaicht j/n", "spawned", lambda r: "j" if r["spawned"] else "n"), Col("Laichdatum", "spawned_at", lambda r: short(r["spawned_at"])), Col("Anzahl Eier", "eggs"), Col("Schlupfdatum", "hatch_to", lambda r: short(r["hatch_to"])), Col("Larven", "hatched"), Col("Bemerkung", "notes")]
        sprinkle(recs, cols, 24, 0.06, {"Temperatur (°C)": [("lau", "number-unreadable|count-word"), ("265", "implausible")], "pH-Wert": [("71", "implausible")], "Anzahl Eier": [("viele", "count-word|number-unreadable"), ("keine", "count-word|number-unreadable")], "Schlupfdatum": [("31.6.", "date-unreadable"), ("bald", "date-unreadable")]})
        table(s, cols, recs)
        s.put("Summe", None, None, None, None, None, None, None, sum(r["eggs"] or 0 for r in recs))
    return log


def sheet_per_tank():
    log = Log("book-sheet-per-tank", "R openxlsx: one sheet a tank, named Tank 1 to Tank 3; Spanish headings.")
    f = log.file("Violeta Arnau/acuarios.xlsx", "R-xlsx", how="xlsx")
    for i in (1, 2, 3):
        s = f.sheet("Acuario %d" % i)
        recs = records(240 + i, 9, ["Danio rerio", "Corydoras paleatus"], [str(i)], day(2024, i, 3), lang="es")
        cols = [Col("Especie", "species"), Col("Fecha de inicio", "began"), Col("Machos", "males"), Col("Hembras", "females"), Col("Temperatura (°C)", "temperature_c"), Col("pH", "ph"), Col("Puesta s/n", "spawned", lambda r: "s" if r["spawned"] else "n"), Col("Fecha de puesta", "spawned_at"), Col("Número de huevos", "eggs"), Col("Fecha de eclosión", "hatch_to"), Col("Notas", "notes")]
        sprinkle(recs, cols, 25, 0.05, {"Temperatura (°C)": [("templada", "number-unreadable|count-word"), ("250", "implausible")], "Número de huevos": [("muchos", "count-word|number-unreadable")], "pH": [("70", "implausible")]})
        table(s, cols, recs, fixed=dict(system="*"))
    return log


def formats():
    log = Log("book-formats", "excelize: full precision under rounding formats, percent formats, units in formats, truth values, clock times, a hidden column, a merged remark.")
    s = log.file("Wanda Jezierska/book.xlsx", "excelize").sheet("Breeding")
    recs = records(251, 24, ["Pterophyllum scalare", "Betta splendens"], ["W1", "W2"], day(2024, 1, 8))
    rng = random.Random(26)
    for r in recs:
        r["temperature_c"] = round(r["temperature_c"] + rng.uniform(-0.05, 0.05), 4)
        if r["spawned_at"]:
            r["spawned_at"] = dt.datetime(r["spawned_at"].year, r["spawned_at"].month, r["spawned_at"].day, rng.randint(6, 21), 15)
    cols = [Col("Tank", "system"), Col("Species", "species"), Col("Set up", "began", lambda r: Styled(r["began"], "d-mmm-yy")), Col("Temp", "temperature_c", lambda r: Styled(r["temperature_c"], '0.0" °C"')), Col("Conductivity (µS/cm)", "conductivity_us_cm", lambda r: Styled(r["conductivity_us_cm"], "0")), Col("% changed", "water_change_pct", lambda r: Styled(r["water_change_pct"] / 100, "0%")),
            Col("Light hours", "light_hours"), Col("Leaf litter", "leaf_litter"), Col("Dither fish", "dither"), Col("Spawned", "spawned"), Col("Spawned at", "spawned_at", lambda r: None if r["spawned_at"] is None else Styled(r["spawned_at"], "dd/mm/yyyy hh:mm")), Col("Eggs", "eggs", lambda r: None if r["eggs"] is None else Styled(r["eggs"], "#,##0")), Col("Hatch date", "hatch_to"), Col("Number hatched", "hatched"), Col("Notes", "notes")]
    sprinkle(recs, cols, 27, 0.06, {"Temp": [(Styled(245, '0.0" °C"'), "implausible"), ("lukewarm", "number-unreadable|count-word"), (Styled(day(2024, 5, 24), "d-mmm"), "number-unreadable")], "Eggs": [(Styled(day(2024, 4, 3), "d-mmm"), "number-unreadable|count-word"), ("lots", "count-word|number-unreadable"), (Formula("L3*2"), "formula-empty")],
                                   "Leaf litter": [(0.5, "yes-no-unreadable"), ("some", "yes-no-unreadable")], "Hatch date": [(40, "date-out-of-range|date-unreadable"), ("tomorrow", "date-unreadable")], "Light hours": [(36, "implausible"), ("long", "number-unreadable|count-word")]})
    table(s, cols, recs)
    s.hidden_cols.append("G")
    return log


def several_tables():
    log = Log("several-tables", "Three files: two tables one below the other with other headings (Python csv); two side by side (LibreOffice ods); no headings at all, which must not be guessed.")
    s = log.file("Xaver Obermoser/stacked.csv", "text", delim=";").sheet()
    s.put("2023")
    recs = records(261, 8, ["Danio rerio"], ["X1"], day(2023, 3, 3))
    table(s, [Col("Tank", "system"), Col("Species", "species"), Col("Set up", "began"), Col("Temp °C", "temperature_c"), Col("Spawned", "spawned", lambda r: "yes" if r["spawned"] else "no"), Col("Spawn date", "spawned_at"), Col("Eggs", "eggs")], recs)
    s.put()
    s.put("2024")
    recs = records(262, 8, ["Betta splendens"], ["X2"], day(2024, 3, 3))
    cols = [Col("Species", "species"), Col("Aquarium", "system"), Col("Paired on", "began"), Col("Laid?", "spawned", lambda r: "yes" if r["spawned"] else "no"), Col("Date laid", "spawned_at"), Col("pH", "ph"), Col("Egg count", "eggs"), Col("Notes", "notes")]
    sprinkle(recs, cols, 28, 0.08, {"pH": BAD_PH, "Egg count": BAD_EGGS})
    table(s, cols, recs)

    f = log.file("Xaver Obermoser/beside.ods", "libreoffice-ods")
    s = f.sheet("both")
    left = records(263, 8, ["Corydoras panda"], ["X3"], day(2023, 5, 3))
    right = records(264, 8, ["Danio rerio"], ["X4"], day(2024, 5, 3))
    heads = ["Tank", "Species", "Set up", "Spawned", "Eggs"]
    s.put(*(heads + [None] + heads))
    fields = ["attempts.system clutches.system", "attempts.species clutches.species attempts.species_as_written", "attempts.began", "attempts.spawned", "clutches.eggs clutches.eggs_low clutches.eggs_high clutches.eggs_method attempts.spawned"]
    s.columns(1, list(zip(heads + [""] + heads, [x.split() for x in fields + [""] + fields])))
    for a, b in zip(left, right):
        row = []
        for r in (a, b):
            row += [r["system"], r["species"], r["began"], "yes" if r["spawned"] else "no", r["eggs"]] + ([None] if r is a else [])
        n = s.put(*row)
        for r in (a, b):
            s.expect("attempts", n, system=r["system"], species=r["species"], species_as_written=r["species"], began=r["began"], spawned=r["spawned"])
            if r["spawned"]:
                s.expect("clutches", n, system=r["system"], species=r["species"], eggs=r["eggs"], eggs_method="counted", attempt="*")

    s = log.file("Xaver Obermoser/bare.csv", "text").sheet()
    for i, r in enumerate(records(265, 6, ["Danio rerio"], ["X5"], day(2023, 7, 3))):
        n = s.put(r["system"], r["species"], r["began"], r["temperature_c"], "yes" if r["spawned"] else "no")
        s.doubt(0, "", "not-a-log|header-unsure") if i == 0 else None
    return log


def headings_amiss():
    log = Log("headings-amiss", "Python csv: misspelt, doubled, empty and unknown headings, rows too short and too long, mixed line ends, NBSP and curly characters.")
    s = log.file("Yngve Solbakken/mess.csv", "text", eol="\r\n", no_last=True).sheet()
    recs = records(271, 24, ["Danio rerio", "Corydoras paleatus"], ["Y1", "Y2"], day(2023, 9, 1))
    cols = [Col("Tank", "system"), Col("Speices", "species"), Col("Set up", "began"), Col("Temprature (°C)", "temperature_c"), Col("Lamp colour", "", lambda r: "blue"), Col("Spawned", "spawned", lambda r: "Yes" if r["spawned"] else "No"), Col("Spawn date", "spawned_at"), Col("Eggs", "eggs"), Col("Eggs", "", lambda r: r["eggs"] and r["eggs"] + 3), Col("pH", "ph"), Col("Males", "males"), Col("Females", "females"), Col("Notes", "notes")]
    sprinkle(recs, cols, 29, 0.05, {"Temprature (°C)": BAD_TEMPERATURE[:4], "pH": BAD_PH, "Males": BAD_COUNT})
    head = table(s, cols, recs)
    s.doubt(head, 8, "heading-twice", absent=False)
    s.doubt(head, 4, "heading-unknown", absent=False)
    s.rows[5] = s.rows[5][:12]  # too short: the remark is missing
    log.expected["attempts"][4]["notes"] = None
    s.rows[9] += ["one more"]
    s.doubt(10, 13, "ragged-row", absent=False)
    s.rows[12][0] = " " + s.rows[12][0] + " "
    return log


LOGS = [two_row_headings, epoch_1904, sheet_per_species, sheet_per_year, sheet_per_tank, formats, several_tables, headings_amiss]
