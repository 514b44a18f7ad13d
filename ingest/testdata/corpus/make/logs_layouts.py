"""Logs of other shapes: three files of one keeper, diaries, days across, daily collections."""

import datetime as dt
import random

from corpus import *

# What a layout of events says of an attempt by itself only; the rest may be worked
# out from readings and actions, or left to them.
OPEN = {f: "*" for f in "temperature_c ph conductivity_us_cm live_food water_change_pct refill_delta_c level_change_cm rearranged conditioning_days light_hours leaf_litter flow".split()}


def three_files():
    log = Log("three-files", "R tab-separated and Python csv: attempts, clutches and actions of one keeper in three files, joined by tank, species and date. One clutch has no attempt; one act cannot be read.")
    recs = records(301, 24, ["Danio rerio", "Corydoras paleatus"], ["Z1", "Z2"], day(2024, 1, 4))
    for r in recs:
        r["ended"] = r["spawned_at"] or r["began"] + dt.timedelta(days=4)
    s = log.file("Zelda Marchetti/attempts.txt", "R-text", how="tab").sheet()
    cols = [Col("Tank", "system"), Col("Species", "species"), Col("Set up", "began"), Col("Ended", "ended"), Col("Males", "males"), Col("Females", "females"), Col("Temp (°C)", "temperature_c"), Col("pH", "ph"), Col("Live food", "live_food", lambda r: "yes" if r["live_food"] else "no"), Col("Spawned", "spawned", lambda r: "yes" if r["spawned"] else "no"), Col("Spawn date", "spawned_at")]
    sprinkle(recs, cols, 31, 0.06, {"Temp (°C)": BAD_TEMPERATURE, "pH": BAD_PH, "Live food": BAD_YESNO})
    table(s, cols, recs, clutches=False)
    at = {id(r): line for r, line in zip(recs, log.expected["attempts"])}
    s = log.file("Zelda Marchetti/clutches.csv", "text").sheet()
    ccols = [("Tank", "clutches.system"), ("Species", "clutches.species"), ("Date laid", "clutches.laid_to"), ("Eggs", "clutches.eggs clutches.eggs_method"), ("Fertile", "clutches.fertile"), ("Hatching date", "clutches.hatch_to"), ("Larvae", "clutches.hatched"), ("Swim-up date", "clutches.swim_to"), ("Number of fry", "clutches.free_swimming")]
    s.columns(s.put(*[h for h, _ in ccols]), [(h, f.split()) for h, f in ccols])
    k = 0
    for r in recs:
        if not r["spawned"]:
            continue
        k += 1
        eggs, fertile = r["eggs"], r["fertile"]
        bad = {3: ("lots", None), 7: (None, "6x"), 11: ("none", None)}.get(k)
        n = s.put(r["system"], r["species"], r["spawned_at"], bad[0] if bad and bad[0] else eggs, bad[1] if bad and bad[1] else fertile, r["hatch_to"], r["hatched"], r["swim_to"], r["free_swimming"])
        if bad and bad[0]:
            s.doubt(n, 3, "count-word|number-unreadable", "clutches.eggs")
            eggs = None
        if bad and bad[1]:
            s.doubt(n, 4, "number-unreadable|unit-unknown|count-word", "clutches.fertile")
            fertile = None
        a = at[id(r)]
        s.expect("clutches", n, system=r["system"], species=r["species"], laid_to=r["spawned_at"], eggs=eggs, eggs_method="counted" if eggs is not None else None, fertile=fertile, hatch_to=r["hatch_to"], hatched=r["hatched"], swim_to=r["swim_to"], free_swimming=r["free_swimming"],
                 females="*", temperature_c="*", loss="*", attempt="%s|%s|%d" % (a["source_file"], a["source_sheet"], a["source_row"]))
    n = s.put("Z9", "Danio rerio", "2024-03-05", 88, 70, "2024-03-07", 60, "2024-03-10", 50)
    s.expect("clutches", n, system="Z9", species="Danio rerio", laid_to=day(2024, 3, 5), eggs=88, eggs_method="counted", fertile=70, hatch_to=day(2024, 3, 7), hatched=60, swim_to=day(2024, 3, 10), free_swimming=50, attempt="*")
    s.doubt(n, "", "contradiction|row-incomplete", absent=False)
    s = log.file("Zelda Marchetti/actions.csv", "text").sheet()
    s.columns(s.put("Date", "Tank", "Action", "Amount", "Unit"), [("Date", ["actions.at"]), ("Tank", ["actions.system"]), ("Action", ["actions.action"]), ("Amount", ["actions.amount"]), ("Unit", ["actions.unit"])])
    rng = random.Random(32)
    at_day = day(2024, 1, 5)
    for i in range(30):
        at_day += dt.timedelta(days=rng.randint(1, 5))
        tank = rng.choice(["Z1", "Z2"])
        word, action, amount, unit, code = rng.choice([("water change", "water_change", rng.choice([20, 30, 50]), "%", "%"), ("live food", "feed_live", None, None, None), ("rearranged", "rearrange", None, None, None), ("level lowered", "level_change", rng.choice([3, 5]), "cm", "cm"), ("added fish", "add_fish", rng.choice([2, 4]), None, "1"), ("medicine", "medicine", None, None, None)])
        if i == 11:
            n = s.put("2024-02-31", tank, "water change", 30, "%")
            s.doubt(n, "", "date-unreadable")
            continue
        if i in (17, 24):
            n = s.put(at_day, tank, "water change", "2 buckets" if i == 17 else 140, None if i == 17 else "%")
            s.doubt(n, 3, "number-unreadable|unit-unknown|implausible", "actions.amount")
            s.expect("actions", n, system=tank, at=at_day, action="water_change", amount=None, unit="*")
            continue
        n = s.put(at_day, tank, word, amount, unit)
        signed = -amount if action == "level_change" else amount
        s.expect("actions", n, system=tank, at=at_day, action=action, amount=signed, unit=code if amount is not None else "*")
    return log


DIARY = {
    "en": dict(heads=("Date", "Tank", "Entry"), set="set up {m}.{f} {sp}", wc="{p}% water change, {k} °C cooler", eggs="eggs on the glass, about {n}", counted="found {n} eggs", hatched="hatched, {n} wrigglers", swim="free swimming", none="no eggs", end="gave up, separated the fish", live="fed live Artemia", temp="{t} °C, pH {ph}", re="rearranged the plants", fung="all eggs fungused", doubt="maybe eggs?", idle="quiet"),
    "de": dict(heads=("Datum", "Becken", "Eintrag"), set="{m}.{f} {sp} angesetzt", wc="Wasserwechsel {p} %, {k} °C kälter", eggs="Eier an der Scheibe, ca. {n}", counted="{n} Eier gefunden", hatched="geschlüpft, {n} Larven", swim="Jungfische schwimmen frei", none="keine Eier", end="abgebrochen, Tiere getrennt", live="Lebendfutter Artemia gefüttert", temp="{t} °C, pH {ph}", re="Becken umgestaltet", fung="alle Eier verpilzt", doubt="vielleicht Eier?", idle="ruhig"),
    "fr": dict(heads=("Date", "Bac", "Remarques"), set="mise en place {m}.{f} {sp}", wc="changement d'eau {p} %, {k} °C plus froide", eggs="oeufs sur la vitre, environ {n}", counted="{n} oeufs trouvés", hatched="éclosion, {n} larves", swim="nage libre", none="pas d'oeufs", end="arrêt, couple séparé", live="nourriture vivante artémias", temp="{t} °C, pH {ph}", re="décor déplacé", fung="tous les oeufs moisis", doubt="peut-être des oeufs ?", idle="calme"),
    "es": dict(heads=("Fecha", "Acuario", "Anotación"), set="puesta en marcha {m}.{f} {sp}", wc="cambio de agua {p} %, {k} °C más fría", eggs="huevos en el cristal, unos {n}", counted="{n} huevos contados", hatched="eclosión, {n} larvas", swim="nado libre", none="sin huevos", end="abandonado, peces separados", live="alimento vivo artemia", temp="{t} °C, pH {ph}", re="decoración movida", fung="todos los huevos con hongos", doubt="¿quizá huevos?", idle="tranquilos"),
}


def diary(lang, name, path, producer, **options):
    def make():
        log = Log(name, "Diary in words, one row an event (%s), by %s." % (lang, producer))
        d = DIARY[lang]
        f = log.file(path, producer, **options)
        s = f.sheet("" if f.text else "diary")
        head = s.put(*d["heads"])
        s.columns(head, [(d["heads"][0], ["actions.at", "readings.at", "attempts.began", "attempts.spawned_at", "attempts.ended", "clutches.laid_to", "clutches.hatch_to", "clutches.swim_to", "clutches.lost_at"]), (d["heads"][1], ["attempts.system", "clutches.system", "actions.system", "readings.system"]), (d["heads"][2], [])])
        rng = random.Random(310 + len(name))
        show_date = (lambda x: x) if lang == "en" else (dmy(".") if lang == "de" else dmy("/"))
        dec = (lambda v: str(v)) if lang == "en" else (lambda v: str(v).replace(".", ","))
        sp = {"en": "Corydoras paleatus", "de": "Danio rerio", "fr": "Betta splendens", "es": "Danio rerio"}[lang]
        for r in records(320 + len(name), 12, [sp], ["A1", "A2"], day(2024, 2, 2), chance=0.6, gap=(16, 20), longest=5):
            tank = r["system"]
            line = lambda on, entry: s.put(show_date(on), tank, entry)
            spawned = r["spawned"]
            n0 = line(r["began"], d["set"].format(m=r["males"], f=r["females"], sp=SPECIES[sp][lang]))
            n = line(r["began"] + dt.timedelta(days=1), d["temp"].format(t=dec(r["temperature_c"]), ph=dec(r["ph"])))
            for q, v in (("temperature_c", r["temperature_c"]), ("ph", r["ph"])):
                s.expect("readings", n, system=tank, place="*", at=r["began"] + dt.timedelta(days=1), quantity=q, value=v)
            n = line(r["began"] + dt.timedelta(days=1), d["live"])
            s.expect("actions", n, system=tank, at=r["began"] + dt.timedelta(days=1), action="feed_live", amount="*", unit="*")
            n = line(r["began"] + dt.timedelta(days=1), d["wc"].format(p=r["water_change_pct"], k=3))
            s.expect("actions", n, system=tank, at=r["began"] + dt.timedelta(days=1), action="water_change", amount=r["water_change_pct"], unit="%")
            attempt = dict(system=tank, species=sp, species_as_written="*", began=r["began"], spawned=spawned, males=r["males"], females=r["females"], notes="*", **OPEN)
            if spawned:
                about = rng.random() < 0.5
                n = line(r["spawned_at"], d["eggs" if about else "counted"].format(n=r["eggs"]))
                clutch = dict(system=tank, species=sp, laid_to=r["spawned_at"], eggs=r["eggs"], eggs_method="estimated" if about else "counted", females="*", temperature_c="*", attempt="%s|%s|%d" % (f.path, s.name, n0))
                if r["hatch_to"]:
                    line(r["hatch_to"], d["hatched"].format(n=r["hatched"]))
                    line(r["swim_to"], d["swim"])
                    clutch.update(hatch_to=r["hatch_to"], hatched=r["hatched"], swim_to=r["swim_to"])
                else:
                    line(r["lost_at"], d["fung"])
                    clutch.update(lost_at=r["lost_at"], loss="fungus")
                s.expect("attempts", n0, spawned_at=r["spawned_at"], ended="*", **attempt)
                s.expect("clutches", n, **clutch)
            else:
                end = r["began"] + dt.timedelta(days=8)
                line(r["began"] + dt.timedelta(days=4), d["none"])
                if rng.random() < 0.7:
                    n = line(r["began"] + dt.timedelta(days=6), d["doubt"])
                    s.doubt(n, 2, "yes-no-unreadable|contradiction|row-incomplete|count-word|number-unreadable|row-skipped|entry-unsure", "")
                line(end, d["end"])
                s.expect("attempts", n0, ended=end, **attempt)
            n = line(r["began"] + dt.timedelta(days=10), d["idle"])
        n = s.put({"en": "2024-02-31", "de": "31.06.2024", "fr": "31/06/2024", "es": "31/06/2024"}[lang], "A1", d["none"])
        s.doubt(n, "", "date-unreadable")
        n = s.put(show_date(day(2024, 12, 1)), None, d["swim"])
        s.doubt(n, "", "row-incomplete|contradiction")
        return log
    return make


def days_across():
    log = Log("days-across", "LibreOffice xlsx: one attempt a row and the days across, D0 to D14, with E for eggs, H for hatched, FS for free swimming, - for looked and nothing; the legend stands below.")
    s = log.file("Aino Rautavaara/days.xlsx", "libreoffice-xlsx").sheet("days")
    recs = records(331, 20, ["Danio rerio", "Corydoras paleatus"], ["V1", "V2"], day(2023, 5, 2))
    heads = ["Tank", "Species", "Set up", "Temp °C"] + ["D%d" % i for i in range(15)]
    days = "attempts.spawned attempts.spawned_at attempts.ended clutches.laid_to clutches.hatch_to clutches.swim_to".split()
    s.columns(s.put(*heads), list(zip(heads, [["attempts.system", "clutches.system"], ["attempts.species", "clutches.species"], ["attempts.began"], ["attempts.temperature_c"]] + [days] * 15)))
    for i, r in enumerate(recs):
        at = lambda d: (d - r["began"]).days
        codes = ["-"] * 15
        spawn, hatch, swim = r["spawned_at"], r["hatch_to"], r["swim_to"]
        if spawn:
            codes = [("-" if j < at(spawn) else None) for j in range(15)]
            codes[at(spawn)] = "E"
            if hatch and at(hatch) < 15:
                codes[at(hatch)] = "H"
            else:
                hatch = None
            if swim and hatch and at(swim) < 15:
                codes[at(swim)] = "FS"
            else:
                swim = None
        temp = r["temperature_c"]
        known = dict(spawned=r["spawned"])
        n = 1 + len(s.rows)
        if i in (4, 12):
            temp = "warm"
            s.doubt(n, 3, "number-unreadable|count-word", "attempts.temperature_c clutches.temperature_c")
        if i in (2, 9, 15) and not spawn:
            codes[6] = "E?"
            s.doubt(n, 10, "yes-no-unreadable|heading-unknown|contradiction|count-word|number-unreadable|entry-unsure", "")
            known = dict(spawned="*", spawned_at="*")
        if i in (6, 17) and spawn:
            codes[0] = "Q"
            s.doubt(n, 4, "yes-no-unreadable|heading-unknown|contradiction|count-word|number-unreadable|entry-unsure", "")
        s.put(r["system"], r["species"], r["began"], temp, *codes)
        t = temp if temp != "warm" else None
        s.expect("attempts", n, system=r["system"], species=r["species"], species_as_written=r["species"], began=r["began"], ended="*", temperature_c=t, notes="*", **{**dict(spawned_at=spawn), **known})
        if spawn:
            s.expect("clutches", n, system=r["system"], species=r["species"], laid_to=spawn, hatch_to=hatch, swim_to=swim, temperature_c=t, females=None, attempt="|".join([s.file.path, s.name, str(n)]))
    s.put()
    s.put("E = eggs, H = hatched, FS = free swimming, - = nothing")
    return log


def daily_collection():
    log = Log("daily-collection", "pandas to_excel and Python csv: eggs collected daily, viable and unviable; a day with 0 is a day without a spawn, a blank day was not looked at.")
    for path, producer in (("Bahar Yilmazer/collection.xlsx", "pandas"), ("Bahar Yilmazer/collection.csv", "text")):
        f = log.file(path, producer)
        s = f.sheet("eggs" if not f.text else "")
        if f.text:
            s.put("Species: Danio rerio")
            s.put("Tank: C2")
            heads = [("Date", "attempts.spawned_at attempts.began attempts.ended clutches.laid_to"), ("Viable eggs", "clutches.fertile"), ("Unviable", ""), ("Total eggs", "clutches.eggs attempts.spawned clutches.eggs_method"), ("Temp °C", "attempts.temperature_c clutches.temperature_c")]
        else:
            heads = [("Tank", "attempts.system clutches.system"), ("Species", "attempts.species clutches.species"), ("Date", "attempts.spawned_at attempts.began attempts.ended clutches.laid_to"), ("Viable eggs", "clutches.fertile"), ("Unviable eggs", ""), ("Total eggs", "clutches.eggs attempts.spawned clutches.eggs_method"), ("Temp °C", "attempts.temperature_c clutches.temperature_c")]
        s.columns(s.put(*[h for h, _ in heads]), [(h, x.split()) for h, x in heads])
        rng = random.Random(341)
        at = day(2024, 4, 1)
        for i in range(30):
            at += dt.timedelta(days=1)
            if i in (5, 6, 19):
                if f.text:
                    continue
            good, bad = (0, 0) if rng.random() < 0.3 else (rng.randint(20, 140), rng.randint(0, 30))
            total, temp = good + bad, round(26 + rng.uniform(-1, 1), 1)
            n = 1 + len(s.rows)
            w = dict(good=good, bad=bad, total=total, temp=temp)
            e = dict(w)
            shift = 0 if f.text else 2
            if i in (8, 21):
                w["temp"], e["temp"] = "25.O", None
                s.doubt(n, 4 + shift, "number-unreadable|unit-unknown", "attempts.temperature_c clutches.temperature_c")
            if i in (11, 25) and total:
                w["good"] = e["good"] = total + 9
                s.doubt(n, 1 + shift, "contradiction", absent=False)
                e["good"] = e["total"] = "*"
            if i == 14:
                w["total"], e["total"] = "lots", None
                s.doubt(n, 3 + shift, "count-word|number-unreadable", "clutches.eggs")
            row = [at, w["good"], w["bad"], w["total"], w["temp"]]
            s.put(*(row if f.text else ["C1", "Danio rerio"] + row))
            spawned = total > 0
            if i == 14:
                spawned = True if good > 0 else "*"
            tank = "C2" if f.text else "C1"
            s.expect("attempts", n, system=tank, species="Danio rerio", species_as_written="Danio rerio", began="*", ended="*", spawned=spawned, spawned_at=at if total > 0 else None, temperature_c=e["temp"], notes="*")
            if total > 0 or i == 14:
                s.expect("clutches", n, system=tank, species="Danio rerio", laid_to=at if total > 0 else "*", eggs=e["total"], eggs_method="counted" if e["total"] is not None else None, fertile=e["good"], temperature_c=e["temp"], attempt="|".join([s.file.path, s.name, str(n)]))
    return log


LOGS = [
    three_files,
    diary("en", "diary-en", "Cora Pemberton/diary.csv", "text"),
    diary("de", "diary-de", "Detlef Unruh/Tagebuch.csv", "text", delim=";", encoding="cp1252", eol="\r\n"),
    diary("fr", "diary-fr", "Élise Caradec/carnet.csv", "text", delim="\t", encoding="cp850", eol="\r\n"),
    diary("es", "diary-es", "Fermín Goyeneche/diario.ods", "gnumeric-ods"),
    days_across, daily_collection,
]
