"""Logs with a row per attempt, or per clutch, in text files and workbooks."""

import datetime as dt
import random

from corpus import *

ISO = lambda f: (lambda r: r[f])
DATE = lambda f, w: (lambda r: w(r[f]))


def group_text(r):
    return "%d.%d" % (r["males"], r["females"])


def en_attempts():
    """The easiest of all: ISO dates, units in the headings."""
    log = Log("en-attempts", "Row per attempt, English, written by R's write.csv with its NA for what is missing. Easy.")
    s = log.file("Anna Lindqvist/breeding.csv", "R-text", how="csv").sheet()
    cols = [
        Col("Tank", "system"), Col("Species", "species"), Col("Set up", "began"), Col("Males", "males"), Col("Females", "females"),
        Col("Temp (°C)", "temperature_c"), Col("pH", "ph"), Col("Conductivity (µS/cm)", "conductivity_us_cm"), Col("Conditioning (days)", "conditioning_days"),
        Col("Live food", "live_food", lambda r: "yes" if r["live_food"] else "no"), Col("Water change %", "water_change_pct"),
        Col("Spawned", "spawned", lambda r: "yes" if r["spawned"] else "no"), Col("Spawn date", "spawned_at"), Col("Eggs", "eggs"),
        Col("Fertile", "fertile"), Col("Hatch date", "hatch_to"), Col("Number hatched", "hatched"), Col("Free swimming date", "swim_to"), Col("Number of fry", "free_swimming"),
        Col("Loss", "loss"), Col("Notes", "notes"),
    ]
    recs = records(101, 28, ["Danio rerio", "Corydoras paleatus"], ["A1", "A2", "B4"], day(2023, 2, 4))
    sprinkle(recs, cols, 1, 0.06, {"Temp (°C)": BAD_TEMPERATURE, "pH": BAD_PH, "Conductivity (µS/cm)": BAD_COND, "Eggs": BAD_EGGS, "Fertile": BAD_COUNT,
                                  "Live food": BAD_YESNO, "Water change %": BAD_SHARE, "Hatch date": BAD_ISO, "Loss": BAD_LOSS})
    table(s, cols, recs)
    return log


def de_semicolon():
    """German spreadsheet export: semicolons, decimal commas, thousands with points."""
    log = Log("de-semicolon", "Zeile je Ansatz, R write.csv2 in Windows-1252: Semikolon, Dezimalkomma, Tag.Monat.Jahr, Artnamen deutsch, Eier mit Tausenderpunkt.")
    s = log.file("Bernd Ochsenfarth/Zuchtbuch.csv", "R-text", how="csv2-latin").sheet()
    d = dmy()
    ja = yesno("ja", "nein")
    cols = [
        Col("Becken", "system"), Col("Art", "species", lambda r: SPECIES[r["species"]]["de"]), Col("angesetzt am", "began", DATE("began", d)),
        Col("Männchen", "males"), Col("Weibchen", "females"), Col("Wassertemp. (°C)", "temperature_c", lambda r: comma(r["temperature_c"])),
        Col("pH-Wert", "ph", lambda r: comma(r["ph"])), Col("Leitwert µS/cm", "conductivity_us_cm"), Col("GH (°dH)", "gh_dh"), Col("KH (°dH)", "kh_dh"),
        Col("Lebendfutter", "live_food", lambda r: ja(r["live_food"])), Col("Laub", "leaf_litter", lambda r: ja(r["leaf_litter"])), Col("Wasserwechsel %", "water_change_pct"),
        Col("Temp. Frischwasser (°C)", "refill_delta_c refill_c", lambda r: comma(r["refill_c"])),
        Col("abgelaicht?", "spawned", lambda r: ja(r["spawned"])), Col("Laichdatum", "spawned_at", DATE("spawned_at", d)), Col("Eierzahl", "eggs"),
        Col("befruchtet", "fertile"), Col("Schlupfdatum", "hatch_to", DATE("hatch_to", d)), Col("Anzahl geschlüpft", "hatched"),
        Col("freischwimmend am", "swim_to", DATE("swim_to", d)), Col("Jungfische", "free_swimming"), Col("Verlustursache", "loss", lambda r: {None: None, "fungus": "verpilzt", "eaten by parents": "von Eltern gefressen", "infertile": "unbefruchtet"}[r["loss"]]),
        Col("Bemerkungen", "notes"),
    ]
    recs = records(102, 26, ["Corydoras paleatus", "Trigonostigma heteromorpha", "Pterophyllum scalare"], ["3", "5", "7"], day(2022, 9, 13), lang="de")
    big = [r for r in recs if r["eggs"]][3]
    big.update(eggs=1200, fertile=1050)  # 1.200 beside 24,5: a thousand and more
    big["_write"].update({"Eierzahl": "1.200", "befruchtet": "1.050"})
    spawned = [r for r in recs if r["eggs"]]
    spawned[5]["_write"]["Eierzahl"] = "ca. %d" % spawned[5]["eggs"]
    spawned[5]["eggs_method"] = "estimated"
    spawned[5]["_known"] = dict(eggs_method="estimated")
    recs[4]["_write"]["pH-Wert"], recs[4]["ph"] = "k.A.", None
    recs[6]["_write"]["Leitwert µS/cm"], recs[6]["conductivity_us_cm"] = "--", None
    sprinkle(recs, cols, 2, 0.06, {"Wassertemp. (°C)": BAD_TEMPERATURE_COMMA, "pH-Wert": [("15,2", "implausible"), ("72", "implausible"), ("sauer", "number-unreadable|count-word")],
                                  "Eierzahl": [("viele", "count-word|number-unreadable"), ("12O", "number-unreadable|unit-unknown"), ("keine", "count-word|number-unreadable")],
                                  "Lebendfutter": [("manchmal", "yes-no-unreadable"), ("bisschen", "yes-no-unreadable")], "Wasserwechsel %": [("2 Eimer", "number-unreadable|unit-unknown"), ("150", "implausible")],
                                  "Schlupfdatum": [("31.04.2023", "date-unreadable"), ("Ostern", "date-unreadable"), ("05.2023", "date-partial|date-unreadable")], "GH (°dH)": [("weich", "number-unreadable|count-word"), ("400", "implausible")]})
    table(s, cols, recs)
    return log


def fr_macroman():
    log = Log("fr-macroman", "Une ligne par essai, Mac Roman, fins de ligne CR, point-virgule, virgule décimale, o/n; écrit en Python.")
    s = log.file("Camille Orsatelli/pontes.csv", "text", delim=";", encoding="mac_roman", eol="\r").sheet()
    d = dmy("/")
    on = yesno("o", "n")
    cols = [
        Col("Bac", "system"), Col("Espèce", "species", lambda r: SPECIES[r["species"]]["fr"]), Col("Mise en place", "began", DATE("began", d)),
        Col("Mâles", "males"), Col("Femelles", "females"), Col("Température (°C)", "temperature_c", lambda r: comma(r["temperature_c"])), Col("pH", "ph", lambda r: comma(r["ph"])),
        Col("Conductivité (µS/cm)", "conductivity_us_cm"), Col("Nourriture vivante", "live_food", lambda r: on(r["live_food"])), Col("Changement d'eau (%)", "water_change_pct"),
        Col("Ponte o/n", "spawned", lambda r: on(r["spawned"])), Col("Date de ponte", "spawned_at", DATE("spawned_at", d)), Col("Nombre d'œufs", "eggs"),
        Col("Date d'éclosion", "hatch_to", DATE("hatch_to", d)), Col("Nb éclos", "hatched"), Col("Nage libre le", "swim_to", DATE("swim_to", d)), Col("Alevins", "free_swimming"),
        Col("Cause de perte", "loss", lambda r: {None: None, "fungus": "champignons", "eaten by parents": "mangés par les parents", "infertile": "non fécondés"}[r["loss"]]), Col("Remarques", "notes"),
    ]
    recs = records(103, 24, ["Betta splendens", "Danio rerio"], ["petit", "grand", "rangée 2"], day(2024, 1, 9), lang="fr")
    sprinkle(recs, cols, 3, 0.06, {"Température (°C)": [("tiède", "number-unreadable|count-word"), ("262", "implausible"), ("26,5,1", "number-unreadable")], "pH": [("71", "implausible"), ("acide", "number-unreadable|count-word")],
                                  "Nombre d'œufs": [("beaucoup", "count-word|number-unreadable"), ("aucun", "count-word|number-unreadable"), ("quelques", "count-word|number-unreadable")], "Nourriture vivante": [("parfois", "yes-no-unreadable"), ("un peu", "yes-no-unreadable")],
                                  "Date d'éclosion": [("31/06/2024", "date-unreadable"), ("bientôt", "date-unreadable"), ("12/05/2031", "date-out-of-range")], "Changement d'eau (%)": [("2 seaux", "number-unreadable|unit-unknown"), ("200", "implausible")]})
    table(s, cols, recs)
    return log


def es_utf16():
    log = Log("es-utf16", "Una fila por intento, UTF-16LE con BOM, tabuladores, coma decimal, sí/no; guardado con LibreOffice como texto Unicode (aquí, Python).")
    s = log.file("Diego Valbuena/puestas.txt", "text", delim="\t", encoding="utf-16-le", bom=b"\xff\xfe", eol="\r\n").sheet()
    d = dmy("-")
    si = yesno("sí", "no")
    cols = [
        Col("Acuario", "system"), Col("Especie", "species", lambda r: SPECIES[r["species"]]["es"]), Col("Fecha de inicio", "began", DATE("began", d)),
        Col("Machos", "males"), Col("Hembras", "females"), Col("Temperatura (ºC)", "temperature_c", lambda r: comma(r["temperature_c"])), Col("pH", "ph", lambda r: comma(r["ph"])),
        Col("Conductividad (µS/cm)", "conductivity_us_cm"), Col("Horas de luz", "light_hours"), Col("Alimento vivo", "live_food", lambda r: si(r["live_food"])), Col("Cambio de agua (%)", "water_change_pct"),
        Col("Puesta s/n", "spawned", lambda r: si(r["spawned"])), Col("Fecha de puesta", "spawned_at", DATE("spawned_at", d)), Col("Número de huevos", "eggs"),
        Col("Fecha de eclosión", "hatch_to", DATE("hatch_to", d)), Col("Larvas", "hatched"), Col("Notas", "notes"),
    ]
    recs = records(104, 24, ["Danio rerio", "Apistogramma cacatuoides"], ["1", "2", "urna"], day(2023, 3, 2), lang="es")
    recs[3]["_write"]["pH"], recs[3]["ph"] = "s/d", None
    sprinkle(recs, cols, 4, 0.06, {"Temperatura (ºC)": [("templada", "number-unreadable|count-word"), ("255", "implausible"), ("26,5,1", "number-unreadable")], "Número de huevos": [("muchos", "count-word|number-unreadable"), ("ninguno", "count-word|number-unreadable"), ("pocos", "count-word|number-unreadable")],
                                  "Alimento vivo": [("a veces", "yes-no-unreadable"), ("poco", "yes-no-unreadable")], "Fecha de eclosión": [("31-06-2023", "date-unreadable"), ("Semana Santa", "date-unreadable")], "Cambio de agua (%)": [("2 cubos", "number-unreadable|unit-unknown"), ("130", "implausible")],
                                  "Horas de luz": [("30", "implausible"), ("todo el día", "number-unreadable|count-word")]})
    table(s, cols, recs)
    return log


def us_fahrenheit():
    log = Log("us-fahrenheit", "Row per attempt by pandas to_csv: month first, Fahrenheit, inches, inHg, hardness in ppm, evening times.")
    s = log.file("Frank Delacourt/spawn log.csv", "text-pandas").sheet()
    f2c = lambda f: (float(f) - 32) * 5 / 9

    def stamp(r):
        return None if r["spawned_at"] is None else mdy(r["spawned_at"]) + " " + r["spawned_at"].strftime("%I:%M %p").lstrip("0")

    recs = records(105, 26, ["Danio rerio", "Corydoras panda"], ["10G left", "10G right", "20 long"], day(2023, 5, 6))
    rng = random.Random(5)
    for r in recs:
        if r["spawned_at"]:
            r["spawned_at"] = dt.datetime(r["spawned_at"].year, r["spawned_at"].month, r["spawned_at"].day, rng.randint(6, 20), rng.choice([0, 10, 25, 40]))
        r["f"] = round(r["temperature_c"] * 9 / 5 + 32, 1)
        r["temperature_c"] = f2c(r["f"])
        r["cooler_f"] = rng.choice([0, 2, 4, 5, 8])
        r["refill_delta_c"] = -r["cooler_f"] * 5 / 9
        r["inch"] = rng.choice([0, 1, 1.5, 2, -1])
        r["level_change_cm"] = r["inch"] * 2.54
        r["inhg"] = round(rng.uniform(-0.3, 0.25), 2)
        r["pressure_change_hpa"] = r["inhg"] * 33.86388640341
        r["ppm"] = rng.choice([50, 70, 90, 110, 140])
        r["gh_dh"] = r["ppm"] / 17.848
    cols = [
        Col("Tank", "system"), Col("Species", "species"), Col("Date paired", "began", DATE("began", mdy)), Col("M", "males"), Col("F", "females"),
        Col("Temp (F)", "temperature_c", lambda r: r["f"]), Col("pH", "ph"), Col("GH (ppm CaCO3)", "gh_dh", lambda r: r["ppm"]),
        Col("Refill cooler by (F)", "refill_delta_c", lambda r: r["cooler_f"]), Col("Water change %", "water_change_pct"),
        Col("Level change (in)", "level_change_cm", lambda r: r["inch"]), Col("24h pressure change (inHg)", "pressure_change_hpa", lambda r: r["inhg"]),
        Col("Spawned?", "spawned", lambda r: "Y" if r["spawned"] else "N"), Col("Spawned on", "spawned_at", stamp), Col("Egg count", "eggs"), Col("Hatch date", "hatch_to", DATE("hatch_to", mdy)),
        Col("Free swimming date", "swim_to", DATE("swim_to", mdy)), Col("No. fry", "free_swimming"), Col("Notes", "notes"),
    ]
    recs[2]["_write"]["Temp (F)"], recs[2]["temperature_c"] = "25.5 C", 25.5
    recs[9]["_write"]["Temp (F)"], recs[9]["temperature_c"] = "78F", f2c(78)
    sprinkle(recs, cols, 5, 0.06, {"Temp (F)": [("780", "implausible"), ("room", "number-unreadable|count-word"), ("7B", "number-unreadable|unit-unknown")], "pH": BAD_PH, "Egg count": BAD_EGGS,
                                  "Water change %": BAD_SHARE, "24h pressure change (inHg)": [("-29.9", "implausible"), ("low", "number-unreadable|count-word")], "Hatch date": [("6/31/2023", "date-unreadable"), ("13/13/2023", "date-unreadable"), ("soon", "date-unreadable")]})
    table(s, cols, recs)
    return log


def ambiguous_dates():
    """Nothing says whether 03/04 is in March or April."""
    log = Log("dates-ambiguous", "Two files of one keeper. In the first no date has a day above 12: every date is set aside, the rest is read. In the second one date decides for all.")
    small = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12]
    rng = random.Random(6)
    for name, open_ in [("open.csv", True), ("decided.csv", False)]:
        s = log.file("Gwen Hartigan/" + name, "text").sheet()
        recs = records(106 if open_ else 107, 14, ["Corydoras paleatus"], ["T1", "T2"], day(2024, 1, 3), chance=0.7)
        for r in recs:
            m = rng.choice([2, 3, 5, 6, 8])
            r["began"] = day(2024 if open_ else 2025, m, rng.choice(small[:6]))
            r["began"] = r["began"].replace(day=rng.choice([x for x in small[:6] if x != m]))
            if r["spawned"]:
                r["spawned_at"] = r["began"] + dt.timedelta(days=rng.randint(1, 5))
                if r["hatch_to"]:
                    r["hatch_to"] = None
                    r["swim_to"] = None
        if not open_:
            recs[5]["began"] = day(2025, 6, 23)
            if recs[5]["spawned"]:
                recs[5]["spawned_at"] = day(2025, 6, 25)
        w = dmy("/")
        cols = [Col("Tank", "system"), Col("Species", "species"), Col("Set up", "began", DATE("began", w)), Col("Temp C", "temperature_c"), Col("Spawned", "spawned", lambda r: "y" if r["spawned"] else "n"),
                Col("Date spawned", "spawned_at", DATE("spawned_at", w)), Col("Eggs", "eggs"), Col("No. hatched", "hatched"), Col("pH", "ph"), Col("Notes", "notes")]
        if open_:
            for r in recs:
                for h in ("Set up", "Date spawned"):
                    c = next(c for c in cols if c.head == h)
                    if c.write(r):
                        r["_doubt"][h] = (c.write(r), "date-ambiguous", True)
        table(s, cols, recs)
    return log


def swapped_dates():
    log = Log("dates-swapped", "openpyxl: a month-first program has turned every date it could into a real date with day and month exchanged, and left the others as text.")
    s = log.file("Horace Ilves/log.xlsx", "openpyxl").sheet("2023")
    recs = records(108, 20, ["Danio rerio"], ["a", "b"], day(2023, 1, 5), gap=(8, 14))
    cols = [Col("Species", "species"), Col("Tank", "system"), Col("Set up", "began"), Col("Spawned", "spawned", lambda r: "yes" if r["spawned"] else "no"), Col("Eggs", "eggs"), Col("Temp °C", "temperature_c"), Col("pH", "ph"), Col("Males", "males"), Col("Females", "females"), Col("Conductivity (µS/cm)", "conductivity_us_cm"), Col("Live food", "live_food", lambda r: "yes" if r["live_food"] else "no"), Col("Water change %", "water_change_pct")]
    for r in recs:
        d = r["began"]
        r["_doubt"]["Set up"] = (d.replace(month=d.day, day=d.month) if d.day <= 12 else dmy("/")(d), "date-conflict|date-ambiguous", True)
    table(s, cols, recs)
    return log


def clutch_rows():
    log = Log("clutches-only", "gnumeric ods: a row per clutch and never a failure, by a keeper who writes down spawns only.")
    s = log.file("Ilse Thorvald/clutches.ods", "gnumeric-ods").sheet("clutches")
    recs = [r for r in records(109, 40, ["Corydoras paleatus", "Corydoras panda"], ["K1", "K2", "K3"], day(2023, 1, 4)) if r["spawned"]]
    cols = [Col("Tank", "system"), Col("Species", "species"), Col("Date laid", "spawned_at"), Col("Females", "females"), Col("Eggs laid (n)", "eggs"), Col("Fertile eggs", "fertile"), Col("Hatching date", "hatch_to"), Col("Larvae", "hatched"),
            Col("Swim-up date", "swim_to"), Col("Number of fry", "free_swimming"), Col("Temp (°C)", "temperature_c"), Col("Cause of loss", "loss"), Col("Lost on", "lost_at"), Col("Remarks", "notes")]
    for r in recs:
        r["_null"] = ["began"]
    spawned = recs
    spawned[1]["_write"]["Eggs laid (n)"] = "%d-%d" % (80, 100)
    spawned[1]["_known"] = dict(eggs=90, eggs_low=80, eggs_high=100, eggs_method="estimated")
    spawned[4]["_write"]["Eggs laid (n)"] = "150+"
    spawned[4]["_known"] = dict(eggs=None, eggs_low=150, eggs_method="estimated")
    spawned[7]["_write"]["Eggs laid (n)"] = "~70"
    spawned[7]["_known"] = dict(eggs=70, eggs_method="estimated")
    sprinkle(recs, cols, 9, 0.06, {"Temp (°C)": BAD_TEMPERATURE, "Fertile eggs": BAD_COUNT, "Larvae": BAD_COUNT, "Number of fry": BAD_COUNT, "Cause of loss": BAD_LOSS, "Hatching date": [("soon", "date-unreadable"), ("2023-02-30", "date-unreadable")]})
    for r in recs:  # a range with another reading beside it stays as it is
        if "Eggs laid (n)" in r["_doubt"]:
            r.pop("_known", None)
    table(s, cols, recs)
    return log


def groups():
    log = Log("groups", "excelize: the fish of an attempt as 2.3, 1m2f, trio, and as a spreadsheet spoils them: a number with two decimals, a date.")
    s = log.file("Jonas Abildgaard/pairs.xlsx", "excelize").sheet("pairs")
    recs = records(110, 24, ["Danio rerio", "Corydoras panda"], ["R1", "R2", "R3"], day(2024, 2, 1))
    forms = [
        ("2.3", 2, 3, None), ("1.2.3", 1, 2, 3), ("1m2f", 1, 2, None), ("trio", 1, 2, None), ("pair", 1, 1, None), ("2♂ 3♀", 2, 3, None), ("3/5", 3, 5, None),
        ("2 males 4 females", 2, 4, None), ("group of 8", None, None, 8), (2.1, 2, 1, None), ("4.4", 4, 4, None), ("0.3", 0, 3, None),
    ]
    for i, r in enumerate(recs):
        w, m, f, u = forms[i % len(forms)]
        r["group"], r["males"], r["females"], r["unsexed"] = w, m, f, u
    cols = [Col("Tank", "system"), Col("Species", "species"), Col("Set up", "began"), Col("Group", "males females unsexed", lambda r: r["group"]), Col("Temp", "temperature_c", lambda r: Styled(r["temperature_c"], '0.0" °C"')),
            Col("Water change", "water_change_pct", lambda r: Styled(r["water_change_pct"] / 100, "0%")), Col("Live food", "live_food", lambda r: r["live_food"]), Col("Spawned", "spawned", lambda r: "yes" if r["spawned"] else "no"),
            Col("Spawn date", "spawned_at"), Col("Eggs", "eggs"), Col("Hatch date", "hatch_to"), Col("Notes", "notes")]
    bad = [(Styled(day(2024, 3, 2), "d-mmm"), "sex-ratio"), (Styled(2.1, "0.00"), "sex-ratio"), ("some", "sex-ratio"), ("6.7.8.9", "sex-ratio"), ("2-3", "sex-ratio")]
    for i, b in zip((1, 6, 10, 15, 21), bad):
        recs[i]["_doubt"]["Group"] = (b[0], b[1], True)
    sprinkle(recs, cols, 10, 0.04, {"Temp": [(Styled(245, '0.0" °C"'), "implausible"), (">26", "number-bound")], "Eggs": BAD_EGGS + [(Styled(day(2024, 4, 3), "d-mmm"), "number-unreadable|count-word")], "Live food": BAD_YESNO})
    table(s, cols, recs)
    return log


def numbers():
    """Every way of writing a number that a careful human can read, and some that nobody can."""
    log = Log("numbers", "Python csv: ranges, about, more than, thousands, fractions, units in the cell, remarks behind the number. Beside it a small file in which 1.200 stays open.")
    s = log.file("Katya Mirova/numbers.csv", "text").sheet()
    recs = records(111, 30, ["Danio rerio"], ["N1", "N2"], day(2023, 4, 1), chance=1)
    cols = [Col("Tank", "system"), Col("Species", "species"), Col("Set up", "began"), Col("Spawn date", "spawned_at"), Col("Eggs", "eggs"), Col("Temp °C", "temperature_c"), Col("pH", "ph"), Col("Conductivity", "conductivity_us_cm", lambda r: "%d µS/cm" % r["conductivity_us_cm"]),
            Col("Water change", "water_change_pct", lambda r: "%d%%" % r["water_change_pct"]), Col("Light (h)", "light_hours"), Col("Hatched (n)", "hatched"), Col("Notes", "notes")]
    for i, (w, known) in enumerate([
        ("100-150", dict(eggs=125, eggs_low=100, eggs_high=150, eggs_method="estimated")), ("~200", dict(eggs=200, eggs_method="estimated")), ("ca. 80", dict(eggs=80, eggs_method="estimated")),
        ("about 90", dict(eggs=90, eggs_method="estimated")), ("200+", dict(eggs=None, eggs_low=200, eggs_method="estimated")), ("1,250", dict(eggs=1250)), ("1 250", dict(eggs=1250)),
        ("145 eggs", dict(eggs=145)), ("160 (on moss)", dict(eggs=160)), ("75 to 85", dict(eggs=80, eggs_low=75, eggs_high=85, eggs_method="estimated")), ("approx. 300", dict(eggs=300, eggs_method="estimated")), ("c. 120", dict(eggs=120, eggs_method="estimated")),
    ]):
        recs[i]["_write"]["Eggs"], recs[i]["_known"] = w, known
    for i, (w, v) in enumerate([("24.5", 24.5), ("25°", 25), ("24.5 C", 24.5), ("77 °F", 25), ("24-26", 25), ("24–25", 24.5), ("26 degrees", 26), ("+25.0", 25)]):
        recs[i + 2]["_write"]["Temp °C"], recs[i + 2]["temperature_c"] = w, v
    for i, (w, v) in enumerate([("6.5 pH", 6.5), ("pH 6.5", 6.5), ("6.5-7.0", 6.75), ("~6.8", 6.8)]):
        recs[i + 1]["_write"]["pH"], recs[i + 1]["ph"] = w, v
    for i, (w, v) in enumerate([("0.35 mS/cm", 350), ("350uS", 350), ("n/a", None), ("350 µS", 350)]):
        recs[i + 12]["_write"]["Conductivity"], recs[i + 12]["conductivity_us_cm"] = w, v
    for i, (w, v) in enumerate([("1/3", 100 / 3), ("half", 50), ("a quarter", 25), ("30 %", 30), ("1/2", 50)]):
        recs[i + 16]["_write"]["Water change"], recs[i + 16]["water_change_pct"] = w, v
    sprinkle(recs[13:], cols, 11, 0.1, {"Eggs": BAD_EGGS + [("10/12", "number-unreadable"), ("26-24", "number-unreadable|number-range"), ("twenty", "count-word|number-unreadable"), ("1,2,3", "number-unreadable"), ("NaN eggs", "number-unreadable|count-word"), ("1e999", "number-unreadable"), ("١٢٠", "number-unreadable|count-word")],
                                       "Temp °C": BAD_TEMPERATURE + [("24 -> 21", "number-unreadable|number-range"), ("Inf", "number-unreadable|count-word")], "pH": BAD_PH, "Light (h)": [("26", "implausible"), ("12:30", "number-unreadable")]})
    table(s, cols, recs)

    s = log.file("Katya Mirova/open.csv", "text").sheet()
    recs = records(112, 8, ["Betta splendens"], ["N3"], day(2024, 4, 1), chance=1)
    cols = [Col("Species", "species"), Col("Spawn date", "spawned_at"), Col("Eggs", "eggs", lambda r: r["e"]), Col("pH", "ph", lambda r: int(r["ph"])), Col("Tank", "system")]
    for i, r in enumerate(recs):
        r["ph"] = int(r["ph"])
        r["e"] = r["eggs"]
        r["_null"] = ["began"]
    for i, w in ((2, "1.200"), (5, "1.050")):
        recs[i]["_doubt"]["Eggs"] = (w, "number-open", True)
    table(s, cols, recs)
    return log


def sign_of_heading():
    log = Log("headings-meaning", "R openxlsx: headings whose words set the meaning or the sign: drop, cooler by, lowered by, refill temperature, days to hatch, tank mates removed.")
    s = log.file("Lior Ben-Asher/trials.xlsx", "R-xlsx", how="xlsx").sheet("trials")
    rng = random.Random(12)
    recs = records(113, 24, ["Corydoras paleatus"], ["L1", "L2"], day(2023, 6, 1))
    for r in recs:
        r["drop"] = round(rng.uniform(0, 11), 1)
        r["pressure_change_hpa"] = -r["drop"]
        r["cool"] = rng.choice([0, 1, 2.5, 4])
        r["refill_delta_c"] = -float(r["cool"])
        r["low"] = rng.choice([0, 2, 5, 8])
        r["level_change_cm"] = -float(r["low"])
        r["days"] = (r["hatch_to"] - r["spawned_at"]).days if r["hatch_to"] else None
        r["days_swim"] = (r["swim_to"] - r["hatch_to"]).days if r["swim_to"] else None
    cols = [Col("Tank", "system"), Col("Species", "species"), Col("Set up", "began"), Col("Pressure drop 24 h (hPa)", "pressure_change_hpa", lambda r: r["drop"]), Col("Refill cooler by (°C)", "refill_delta_c", lambda r: r["cool"]),
            Col("Level lowered by (cm)", "level_change_cm", lambda r: r["low"]), Col("Tank mates removed", "tank_mates", lambda r: "no" if r["tank_mates"] else "yes"), Col("Temp (°C)", "temperature_c"),
            Col("Spawned y/n", "spawned", lambda r: "y" if r["spawned"] else "n"), Col("Spawn date", "spawned_at"), Col("Eggs", "eggs"), Col("Days to hatch", "hatch_to", lambda r: r["days"]), Col("Days from hatch to free swimming", "swim_to", lambda r: r["days_swim"]), Col("Notes", "notes")]
    sprinkle(recs, cols, 13, 0.06, {"Pressure drop 24 h (hPa)": [("-4.5", "contradiction|implausible"), ("100", "implausible"), ("big", "number-unreadable|count-word")], "Refill cooler by (°C)": [("-3", "contradiction|implausible"), ("a bit", "number-unreadable|count-word")],
                                   "Days to hatch": [("0.01", "implausible|number-unreadable|date-order|unusual|date-unreadable"), ("quick", "number-unreadable|count-word|date-unreadable")], "Temp (°C)": BAD_TEMPERATURE[:3]})
    table(s, cols, recs)
    return log


def remarks_inside():
    log = Log("remarks-inside", "Python csv: answers with a remark behind them; quotation marks, line breaks, a stray quotation mark, formula characters in the notes.")
    s = log.file("Maud Okonjo/diary table.csv", "text", eol="\r\n").sheet()
    recs = records(114, 26, ["Apistogramma cacatuoides", "Betta splendens"], ["M1", "M2"], day(2024, 3, 3))
    cols = [Col("Tank", "system"), Col("Species", "species"), Col("Set up", "began"), Col("Temp °C", "temperature_c"), Col("Spawned?", "spawned", lambda r: "yes" if r["spawned"] else "no"), Col("Date laid", "spawned_at"),
            Col("Eggs", "eggs"), Col("Loss", "loss"), Col("Live food", "live_food", lambda r: "yes" if r["live_food"] else "no"), Col("Males", "males"), Col("Females", "females"), Col("Notes", "notes")]
    yes = [r for r in recs if r["spawned"]]
    no = [r for r in recs if not r["spawned"]]
    for r, w, loss in [(yes[0], "yes - all eaten", "*"), (yes[1], "yes, fungused", "fungus"), (yes[2], "yes (at night)", None), (yes[3], "Yes!", None)]:
        r["_write"]["Spawned?"] = w
        if loss is not None:
            r["_write"]["Loss"] = None
            r["loss"] = loss if loss != "*" else "*"
            if loss == "*":
                r["_known"] = dict(loss="*")
    no[0]["_write"]["Spawned?"] = "no - not interested"
    no[1]["_write"]["Spawned?"] = "no luck"
    no[2]["_write"]["Spawned?"] = "not yet"
    no[2]["spawned"] = None
    recs[3]["notes"] = 'she said "never again", then spawned'
    recs[5]["notes"] = "first line\nsecond line"
    recs[8]["notes"] = "=SUM(A1)"
    recs[11]["notes"] = "@home; -3 fish moved"
    for i, (h, w, codes) in {4: ("Spawned?", "maybe", "yes-no-unreadable"), 9: ("Live food", "sometimes", "yes-no-unreadable"), 13: ("Temp °C", "warm", "number-unreadable|count-word"), 16: ("Live food", "less", "yes-no-unreadable"), 19: ("Temp °C", "265", "implausible"), 22: ("Males", "few", "count-word|number-unreadable")}.items():
        recs[i]["_doubt"][h] = (w, codes, True)
        if h == "Spawned?" and recs[i]["spawned"]:
            recs[i]["_known"] = dict(spawned=True)
    table(s, cols, recs)
    return log


def species_names():
    log = Log("species-names", "LibreOffice ods: synonyms, common names, abbreviations, misspellings, strains; ambiguous and unknown names, whose rows are set aside.")
    s = log.file("Nils Wetterström/arter.ods", "libreoffice-ods").sheet("log")
    names = [
        ("Brachydanio rerio", "Danio rerio"), ("zebrafish", "Danio rerio"), ("Corydoras paleatus", "Corydoras paleatus"), ("C. paleatus", "Corydoras paleatus"), ("peppered cory", "Corydoras paleatus"),
        ("Corydoras paleatus 'Rio Negro'", "Corydoras paleatus"), ("Pterophylum scalare", "Pterophyllum scalare"), ("Rasbora heteromorpha", "Trigonostigma heteromorpha"), ("HARLEQUIN RASBORA", "Trigonostigma heteromorpha"),
        ("Betta splendens (Regan, 1910)", "Betta splendens"), ("cockatoo cichlid", "Apistogramma cacatuoides"), ("Hoplisoma paleatum", "Corydoras paleatus"), ("Danio rerio var. leopard", "Danio rerio"), ("Skalar", "Pterophyllum scalare"),
        ("Trigonostigma heteromorpha ", "Trigonostigma heteromorpha"), ("apisto cacatoès", "Apistogramma cacatuoides"), ("D. rerio", "Danio rerio"), ("cardinal tetra", "Paracheirodon axelrodi"),
    ]
    bad = [("neon", "species-ambiguous"), ("angelfish", "species-ambiguous"), ("my red ones", "species-unknown"), ("kribensis", "species-ambiguous"), ("Fluffius grandis", "species-unknown"), ("?", "species-missing|species-unknown")]
    recs = records(115, len(names) + len(bad), ["Danio rerio"], ["N1", "N2"], day(2023, 2, 3))
    order = list(range(len(recs)))
    random.Random(15).shuffle(order)
    # an abbreviation leans on the genus written out above it
    good = iter(names)
    at_bad = {order[i]: b for i, b in enumerate(bad)}
    cols = [Col("Tank", "system"), Col("Species", "species", lambda r: r["w"]), Col("Set up", "began"), Col("Spawned", "spawned", lambda r: "yes" if r["spawned"] else "no"), Col("Spawn date", "spawned_at"), Col("Eggs", "eggs"), Col("Temp °C", "temperature_c"), Col("pH", "ph"), Col("Males", "males"), Col("Females", "females")]
    for i, r in enumerate(recs):
        if i in at_bad:
            r["w"] = at_bad[i][0]
            r["_doubt"]["Species"] = (at_bad[i][0], at_bad[i][1], True)
        else:
            r["w"], r["species"] = next(good)
    sprinkle(recs, cols, 16, 0.03, {"Temp °C": BAD_TEMPERATURE[:3], "Eggs": BAD_EGGS})
    table(s, cols, recs)
    return log


def marks_or_blank():
    log = Log("marks-or-blank", "gnumeric xlsx: x or blank. Without a word of the keeper a blank is no no; with a mapping it is.")
    for name, mapped in [("without.xlsx", False), ("with.xlsx", True)]:
        s = log.file("Olga Pashkevich/" + name, "gnumeric-xlsx").sheet("log")
        recs = records(116 + mapped, 16, ["Danio rerio"], ["x1", "x2"], day(2023 + mapped, 2, 3))
        x = lambda f: (lambda r: "x" if r[f] else None)
        cols = [Col("Tank", "system"), Col("Species", "species"), Col("Set up", "began"), Col("Spawned", "spawned", x("spawned")), Col("Spawn date", "spawned_at"), Col("Leaves", "leaf_litter", x("leaf_litter")), Col("Dither fish", "dither", x("dither")), Col("Temp °C", "temperature_c"), Col("Eggs", "eggs")]
        for r in recs:
            if not mapped:
                for f in ("spawned", "leaf_litter", "dither"):
                    if not r[f]:
                        r[f] = None
        sprinkle(recs, cols, 17, 0.06, {"Temp °C": BAD_TEMPERATURE[:4], "Eggs": BAD_EGGS, "Spawn date": [("autumn", "date-unreadable")]})
        table(s, cols, recs)
    log.also("logs/Olga Pashkevich/with.toml", 'version = 1\n[[table]]\n[table.columns."Spawned"]\nblank = "no"\n[table.columns."Leaves"]\nblank = "no"\n[table.columns."Dither fish"]\nblank = "no"\n')
    return log


def contradictions():
    log = Log("contradictions", "Python csv with UTF-8 BOM: cells that cannot both be true, rows twice, dates ahead of their time, a headline again, a total, a footnote.")
    s = log.file("Pavel Drexler/log.csv", "text", encoding="utf-8-sig").sheet()
    recs = records(118, 26, ["Corydoras panda"], ["P1", "P2"], day(2024, 1, 10))
    cols = [Col("Tank", "system"), Col("Species", "species"), Col("Set up", "began"), Col("Ended", "ended"), Col("Spawned", "spawned", lambda r: "yes" if r["spawned"] else "no"), Col("Spawn date", "spawned_at"), Col("Eggs", "eggs"), Col("Fertile", "fertile"), Col("Hatch date", "hatch_to"), Col("Number hatched", "hatched"), Col("Temp °C", "temperature_c"), Col("Notes", "notes")]
    for r in recs:
        if not r["spawned"]:
            r["ended"] = r["began"] + dt.timedelta(days=9)
    full = [r for r in recs if r["hatch_to"]]
    no = [r for r in recs if not r["spawned"]]
    full[0]["_doubt"]["Hatch date"] = (full[0]["spawned_at"] - dt.timedelta(days=20), "date-order", True)
    full[0]["_known"] = dict(spawned_at="*")
    full[1]["_known"] = dict(began="*", hatch_to="*")
    full[1]["_doubt"]["Spawn date"] = (full[1]["began"] - dt.timedelta(days=40), "date-order", True)
    full[2]["_doubt"]["Number hatched"] = (full[2]["eggs"] + 40, "contradiction", False)
    full[2]["_known"] = dict(hatched="*", fertile="*", eggs="*")
    full[3]["_doubt"]["Fertile"] = (full[3]["eggs"] + 10, "contradiction", False)
    full[3]["_known"] = dict(fertile="*", eggs="*")
    full[4]["_doubt"]["Hatch date"] = ("2032-04-01", "date-out-of-range", True)
    no[0]["_doubt"]["Eggs"] = (45, "contradiction", False)
    no[0]["_known"] = dict(eggs="*", spawned="*", eggs_method="*")
    no[0]["_row_maybe_clutch"] = True
    no[1]["_doubt"]["Ended"] = (no[1]["began"] - dt.timedelta(days=3), "date-order", True)
    no[1]["_known"] = dict(began="*")
    no[2]["_doubt"]["Set up"] = ("2024-13-01", "date-unreadable", True)
    table(s, cols, recs[:12])
    s.put(*[c.head for c in cols])
    table(s, cols, recs[12:], header=False)
    copy = dict(recs[20])
    copy["_row"] = "row-duplicate"
    copy["_doubt"] = {}
    row_of(s, cols, copy)
    s.put("Total", None, None, None, None, None, sum(r["eggs"] or 0 for r in recs))
    s.put()
    s.put("* P2 stands beside the window")
    return log


def own_triggers():
    log = Log("own-triggers", "Python csv with a club.toml: a species name, a unit and triggers of the club's own; a mapping that names a column and the order of dates.")
    s = log.file("Quirin Baltruschat/log.csv", "text", delim=";").sheet()
    recs = records(119, 20, ["Danio rerio"], ["Q1"], day(2024, 2, 1))
    log.own = ["rice_hulls"]
    for i, r in enumerate(recs):
        r["rice_hulls"] = i % 3 == 0
        r["began"] = day(2024, 1 + i % 8, 1 + (i * 5) % 12)
        r["spawned_at"] = r["began"] + dt.timedelta(days=2) if r["spawned"] else None
        for f in ("hatch_to", "swim_to", "lost_at"):
            r[f] = None
    w = dmy("/")
    cols = [Col("Tank", "system"), Col("Fish", "species", lambda r: "Streifling"), Col("in", "began", DATE("began", w)), Col("out", "spawned_at", DATE("spawned_at", w)), Col("Spawned", "spawned", lambda r: "yes" if r["spawned"] else "no"), Col("Temp", "temperature_c", lambda r: comma(r["temperature_c"])), Col("Eggs", "eggs"), Col("Rice hulls", "", lambda r: "yes" if r["rice_hulls"] else "no", own="rice_hulls")]
    sprinkle(recs, cols, 19, 0.06, {"Temp": BAD_TEMPERATURE_COMMA, "Eggs": BAD_EGGS, "Rice hulls": BAD_YESNO})
    table(s, cols, recs)
    log.also("club.toml", 'name = "corpus"\ntime_zone = "Europe/Vienna"\n[species]\n"Streifling" = "Danio rerio"\n[units]\ntemperature = "Cel"\n[[trigger]]\ncode = "rice-hulls"\nname = "a handful of rice hulls"\nkind = "yes-no"\n')
    log.also("logs/Quirin Baltruschat/log.toml", 'version = 1\n[[table]]\ndates = "dmy"\n[table.columns."in"]\nis = "began"\n[table.columns."out"]\nis = "spawned_at"\n[table.columns."Fish"]\nis = "species"\n')
    return log


LOGS = [en_attempts, de_semicolon, fr_macroman, es_utf16, us_fahrenheit, ambiguous_dates, swapped_dates, clutch_rows, groups, numbers, sign_of_heading, remarks_inside, species_names, marks_or_blank, contradictions, own_triggers]
