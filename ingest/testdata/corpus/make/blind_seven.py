"""Blind logs, seventh set: written after the sixth was mended, with the expected tables fixed before the program read them."""

import datetime as dt

from byhand import *

D = lambda *x: dt.date(*x)
F = lambda f: (f - 32) / 1.8


def uk_killi_people():
    log, p = one("b7-uk-killi-card", "A British killifish keeper's card index typed up: sexes as 1:2, age, peat, weeks in words, uncertain answers.", "Maurice Ottley/cards.csv")
    p.head(["Card", "Species + location", "Tank", "Went in", "Came out", "M:F", "°C", "pH", "Fed live?", "Leaf litter y/n", "Laid?", "First laid", "Eggs picked", "Good", "Fungused", "Remarks"],
           "", "species", "system", "began", "ended", "males females", "temperature_c", "ph", "live_food", "leaf_litter", "spawned", "spawned_at", "eggs", "fertile", "", "notes")
    S = dict(species="Aphyosemion australe", system="K2")
    p.ac(["11", "Aphyosemion australe", "K2", "3 Jan 2025", "12 Jan 2025", "1:2", "22", "6.2", "yes", "y", "yes", "5 Jan 2025", "44", "38", "6", "chocolate strain"], began="2025-01-03", ended="2025-01-12", males=1, females=2, temperature_c=22, ph=6.2, live_food=True, leaf_litter=True, spawned=True, spawned_at="2025-01-05", eggs=44, fertile=38, notes="chocolate strain", **S)
    p.ac(["12", "Aphyosemion australe", "K2", "1 Feb 2025", "10 Feb 2025", "1:2", "21", "6.3", "no", "y", "nope", "", "", "", "", ""], began="2025-02-01", ended="2025-02-10", males=1, females=2, temperature_c=21, ph=6.3, live_food=False, leaf_litter=True, spawned=False, **S)
    p.ac(["13", "Aphyosemion australe", "K2", "1 Mar 2025", "9 Mar 2025", "1:1", "23", "6.2", "yes", "n", "I think so", "", "", "", "", "eggs not counted"], d="K:YES:spawned", clutch=False, began="2025-03-01", ended="2025-03-09", males=1, females=1, temperature_c=23, ph=6.2, live_food=True, leaf_litter=False, spawned=None, notes="eggs not counted", **S)
    p.ac(["14", "Aphyosemion australe", "K2", "15 Mar 2025", "24 Mar 2025", "1:2", "22", "6.1", "yes", "y", "yes", "17 Mar 2025", "30", "34", "", ""], d="N:NUM:", began="2025-03-15", ended="2025-03-24", males=1, females=2, temperature_c=22, ph=6.1, live_food=True, leaf_litter=True, spawned=True, spawned_at="2025-03-17", eggs="*", fertile="*", **S)
    return log


def de_blocks():
    log, p = one("b7-de-block-je-becken", "Ein Blatt, je Becken ein Block mit Überschrift; Notizen zwischen den Zeilen; Summenzeile.", "Eberhard Quast/bloecke.xlsx", "excelize", "2025")
    heads = ["Paar zusammen ab", "Paar getrennt am", "Temp. Wasser", "abgelaicht", "Laichdatum", "Eier ungefähr", "Ausfallgrund"]
    for tank, sp, name, rows in [
        ("Becken 1", "Corydoras panda", "Corydoras panda", [(D(2025, 1, 4), D(2025, 1, 18), 23, "ja", D(2025, 1, 9), 35, "verpilzt"), (D(2025, 2, 1), D(2025, 2, 15), 22.5, "nein", None, None, None)]),
        ("Becken 2", "Apistogramma borellii", "Apistogramma borellii", [(D(2025, 1, 11), D(2025, 2, 1), 25, "ja", D(2025, 1, 20), 60, None), (D(2025, 2, 15), None, 25, "läuft noch", None, None, None)]),
    ]:
        p.row([f"{tank}: {sp}"])
        p.head(heads, "began", "ended", "temperature_c", "spawned", "spawned_at", "eggs", "loss")
        for i, (b, e, t, y, s, n, why) in enumerate(rows):
            kw = dict(eggs=n, eggs_method="*", loss="fungus" if why else None, spawned_at=s) if n else {}
            p.ac([b, e, t, y, s, n, why], system="*", species=name, began=b, ended=e, temperature_c=t, spawned={"ja": True, "nein": False}.get(y), **kw)
            if i == 0:
                p.row(["(Pause, Tiere zurück ins Gesellschaftsbecken)"])
        p.row([None])
    return log


def fr_semaines():
    log, p = one("b7-fr-semaines", "Fiche d'essais d'un Français: titre, unités sous les entêtes, oui/non variés, deux pontes dans une cellule.", "Solène Prigent/essais.csv", delim=";", encoding="cp1252")
    p.row("Fiche de reproduction - saison 2025")
    p.row("Éleveuse : Solène Prigent")
    p.row("")
    p.head(["Bac", "Espèce", "Formation du couple", "Mâle(s)", "Femelle(s)", "Température", "pH", "Chgt eau", "Artémias vivantes", "Ponte obtenue", "Date(s) de ponte", "Nombre d'œufs", "Nombre d'éclos", "Raison de la perte"], "system", "species", "began", "males", "females", "temperature_c", "ph", "water_change_pct", "live_food", "spawned", "spawned_at", "eggs", "hatched", "loss")
    p.row(["", "", "jj/mm/aaaa", "", "", "°C", "", "%", "o/n", "o/n", "", "nb", "nb", ""])
    S = dict(species="Hyphessobrycon amandae")
    p.ac(["12", "Hyphessobrycon amandae", "11/01/2025", "2", "3", "25", "5,8", "20", "o", "o", "13/01/2025", "30", "22", ""], system="12", began="2025-01-11", males=2, females=3, temperature_c=25, ph=5.8, water_change_pct=20, live_food="*", spawned=True, spawned_at="2025-01-13", eggs=30, hatched=22, **S)
    p.ac(["12", "Hyphessobrycon amandae", "25/01/2025", "2", "3", "25", "5,9", "10", "n", "n", "", "", "", ""], system="12", began="2025-01-25", males=2, females=3, temperature_c=25, ph=5.9, water_change_pct=10, live_food="*", spawned=False, **S)
    p.ac(["12", "Hyphessobrycon amandae", "08/02/2025", "2", "3", "26", "5,7", "30", "o", "o", "10/02/2025 et 17/02/2025", "25 + 18", "", "moisis"], d="K:DATE:spawned_at,laid_to L:NUM:eggs", system="12", began="2025-02-08", males=2, females=3, temperature_c=26, ph=5.7, water_change_pct=30, live_food="*", spawned=True, loss="fungus", **S)
    return log


def es_diario():
    log, p = one("b7-es-diario", "Cuaderno de un español en frases, un acuario, una puesta perdida y un intento sin puesta.", "Gonzalo Arteche/cuaderno.txt", "text", always=dict(system="*", species="Pterophyllum scalare"))
    p.row("Cuaderno de cría 2025. Escalares (Pterophyllum scalare)")
    p.row("")
    a = p.row("11/01/2025 Meto la pareja en el acuario de cría, 28 °C.")
    p.begins(a, began="2025-01-11", spawned=True, spawned_at="2025-01-18", males="*", females="*", temperature_c="*")
    p.read(a, "2025-01-11", "temperature_c", 28)
    n = p.row("14/01/2025 Cambio de agua, 30 %.")
    p.act(n, "2025-01-14", "water_change", 30, "%")
    n = p.row("18/01/2025 Puesta en la hoja, unos 200 huevos.")
    p.clutch(n, a, laid_to="2025-01-18", eggs=200, eggs_method="estimated", lost_at="2025-01-19", loss="eaten by parents")
    p.row("19/01/2025 Los padres se comieron los huevos.")
    b = p.row("15/02/2025 Otra vez juntos, nuevo intento.")
    p.begins(b, began="2025-02-15", spawned=False, ended="2025-03-02", males="*", females="*", temperature_c="*")
    n = p.row("20/02/2025 Puede que hayan puesto, no lo veo bien.")
    p.sheet.doubt(n, "", CODES["ENTRY"])
    p.row("02/03/2025 Sin puesta, fin del intento.")
    return log


def us_sheet_per_species():
    log = Log("b7-us-sheet-per-species", "American workbook, sheet per species, headings differ, Fahrenheit, totals.")
    f = log.file("Darlene Kovac/breeding 2025.xlsx", "excelize")
    p = Page(f.sheet("Betta splendens"), species="Betta splendens")
    p.head(["Tank #", "Pair introduced", "Temp F", "pH", "IAL used", "Spawned?", "Date", "Egg guess", "Fry at FS", "How lost"], "system", "began", "temperature_c", "ph", "leaf_litter", "spawned", "spawned_at", "eggs", "free_swimming", "loss")
    p.ac([3, D(2025, 1, 10), 82, 6.8, "Y", "Y", D(2025, 1, 12), 250, 120, None], system="3", began="2025-01-10", temperature_c=F(82), ph=6.8, leaf_litter="*", spawned=True, spawned_at="2025-01-12", eggs=250, eggs_method="*", free_swimming=120)
    p.ac([3, D(2025, 2, 7), 81, 6.9, "N", "N", None, None, None, None], system="3", began="2025-02-07", temperature_c=F(81), ph=6.9, leaf_litter="*", spawned=False)
    p.ac([4, D(2025, 2, 14), 83, 6.7, "Y", "Y", D(2025, 2, 15), 300, 0, "male ate eggs"], system="4", began="2025-02-14", temperature_c=F(83), ph=6.7, leaf_litter="*", spawned=True, spawned_at="2025-02-15", eggs=300, eggs_method="*", free_swimming=0, loss="eaten by parents")
    p.row(["Totals", None, None, None, None, None, None, 550, 120, None])
    q = Page(f.sheet("Corydoras aeneus"), species="Corydoras aeneus")
    q.head(["Tank", "Group setup date", "Males", "Females", "WC %", "WC temp (F)", "Tank temp (F)", "Spawn?", "Spawn day", "# of eggs", "# hatched"], "system", "began", "males", "females", "water_change_pct", "refill_delta_c", "temperature_c", "spawned", "spawned_at", "eggs", "hatched")
    q.ac(["C1", D(2025, 1, 18), 3, 2, 50, 68, 76, "yes", D(2025, 1, 19), 110, 80], system="C1", began="2025-01-18", males=3, females=2, water_change_pct=50, refill_delta_c=(68 - 76) / 1.8, temperature_c=F(76), spawned=True, spawned_at="2025-01-19", eggs=110, hatched=80)
    q.ac(["C1", D(2025, 2, 8), 3, 2, 30, 75, 76, "no", None, None, None], system="C1", began="2025-02-08", males=3, females=2, water_change_pct=30, refill_delta_c=(75 - 76) / 1.8, temperature_c=F(76), spawned=False)
    q.ac(["C1", D(2025, 3, 1), 3, 2, 120, 66, 76, "yes", D(2025, 3, 2), 95, 70], d="E:NUM:water_change_pct", system="C1", began="2025-03-01", males=3, females=2, refill_delta_c=(66 - 76) / 1.8, temperature_c=F(76), spawned=True, spawned_at="2025-03-02", eggs=95, hatched=70)
    return log


def de_gelege():
    log, p = one("b7-de-gelege", "Nur Gelege: eine Zeile je Gelege, ohne Ansätze, mit Behandlung und Zählweise.", "Hedda Vollmer/gelege.csv", delim=";")
    p.head(["Gelege Nr", "Aq", "Art", "gefunden", "Eizahl", "wie ermittelt", "davon weiß", "Mittel", "Schlupf", "Larvenzahl", "freischw.", "Jungfischzahl", "Grund für Ausfall"], "", "system", "species", "spawned_at", "eggs", "eggs_method", "", "hatch_aid", "hatch_to hatched", "hatched", "swim_to free_swimming", "free_swimming", "loss")
    S = dict(species="Ancistrus dolichopterus", hatch_aid="*")
    p.ac(["G1", "5", "Ancistrus dolichopterus", "05.01.2025", "90", "gezählt", "4", "-", "10.01.2025", "82", "16.01.2025", "80", ""], system="5", spawned_at="2025-01-05", eggs=90, hatch_to="2025-01-10", hatched=82, swim_to="2025-01-16", free_swimming=80, **S)
    p.ac(["G2", "5", "Ancistrus dolichopterus", "09.02.2025", "70", "geschätzt", "70", "Methylenblau", "", "", "", "", "unbefruchtet"], system="5", spawned_at="2025-02-09", eggs=70, eggs_method="estimated", loss="infertile", **S)
    p.ac(["G3", "7", "Ancistrus dolichopterus", "23.02.2025", "110", "Foto", "", "-", "28.02.2025", "105", "20.02.2025", "100", ""], d="K:DATE:swim_to", system="7", spawned_at="2025-02-23", eggs=110, eggs_method="photo", hatch_to="2025-02-28", hatched=105, free_swimming=100, **S)
    return log


def en_turned():
    log, p = one("b7-en-turned", "Attempts as columns, the questions down the side.", "Sheena Rao/columns.xlsx", "excelize", "Attempts")
    facts = [("Attempt", "1", "2", "3"), ("Tank", "R1", "R1", "R2"), ("Species", "Trigonostigma heteromorpha", "Trigonostigma heteromorpha", "Trigonostigma espei"), ("Put in on", D(2025, 1, 6), D(2025, 1, 27), D(2025, 2, 3)), ("Males / females", "1/1", "2/2", "1/2"), ("Water temp (C)", 27, 26, 27.5), ("pH", 5.5, 5.6, 6), ("Did they spawn", "yes", "no", "yes"), ("When", D(2025, 1, 8), None, D(2025, 2, 6)), ("Eggs counted", 60, None, 45), ("Wrigglers counted", 50, None, 30)]
    for i, row in enumerate(facts):
        p.row(list(row))
    for j, kw in enumerate([dict(system="R1", species="Trigonostigma heteromorpha", began="2025-01-06", males=1, females=1, temperature_c=27, ph=5.5, spawned=True, spawned_at="2025-01-08", eggs=60, hatched=50),
                            dict(system="R1", species="Trigonostigma heteromorpha", began="2025-01-27", males=2, females=2, temperature_c=26, ph=5.6, spawned=False),
                            dict(system="R2", species="Trigonostigma espei", began="2025-02-03", males=1, females=2, temperature_c=27.5, ph=6, spawned=True, spawned_at="2025-02-06", eggs=45, hatched=30)]):
        v = {k: x for k, x in kw.items()}
        at = p.sheet.expect("attempts", 1, species_as_written="*", notes="*", ended="*", **{k: x for k, x in v.items() if k in ATTEMPT})
        if v["spawned"]:
            p.sheet.expect("clutches", 1, attempt=at, laid_to=v["spawned_at"], eggs_method="counted", **{k: v[k] for k in ("system", "species", "eggs", "hatched", "females", "temperature_c")})
    return log


def us_logger():
    log, p = one("b7-us-logger", "Temperature probe export with AM/PM, Fahrenheit, inHg, a stuck stretch noted by words.", "Roland Beech/probe.csv")
    p.row("Probe name:,Fishroom")
    p.row("Serial:,77-A")
    p.row("")
    p.head(["Date/Time", "Water Temp (°F)", "Barometer (inHg)", "Battery (V)"], "at", "value", "value", "")
    for w, t, b in [("02/13/2025 12:00 AM", "77.2", "29.92"), ("02/13/2025 06:00 AM", "76.8", "29.90"), ("02/13/2025 12:00 PM", "no signal", "29.85"), ("02/13/2025 06:00 PM", "77.5", "2.98"), ("02/14/2025 12:00 AM", "77.4", "29.80")]:
        bad = ("B:SENSOR:value" if t == "no signal" else "") + ("C:SENSOR:value" if b == "2.98" else "")
        n = p.row([w, t, b, "3.1"], d=bad)
        at = dt.datetime.strptime(w, "%m/%d/%Y %I:%M %p")
        if t != "no signal":
            p.read(n, at, "temperature_c", F(float(t)), system="*")
        if b != "2.98":
            p.read(n, at, "air_pressure_hpa", float(b) * 33.86389, system="*")
    return log


def de_wochentage_quer():
    log, p = one("b7-de-tage-quer", "Tage quer: ein Ansatz je Zeile, Tag 0 bis Tag 7, Legende unten, Zahlen für Eier.", "Ignaz Lohr/quer.csv", delim=";")
    p.head(["Becken", "Art", "Ansatz am", "Temp °C", "T0", "T1", "T2", "T3", "T4", "T5", "T6", "T7"], "system", "species", "began", "temperature_c", *["spawned spawned_at hatch_to swim_to"] * 8)
    p.ac(["L1", "Danio rerio", "13.01.2025", "27", "-", "E", "-", "-", "S", "-", "-", "F"], system="L1", species="Danio rerio", began="2025-01-13", temperature_c=27, spawned=True, spawned_at="2025-01-14", hatch_to="2025-01-17", swim_to="2025-01-20")
    p.ac(["L1", "Danio rerio", "27.01.2025", "26", "-", "-", "-", "-", "-", "-", "-", "-"], system="L1", species="Danio rerio", began="2025-01-27", temperature_c=26, spawned=False)
    p.row("E = Eier;S = Schlupf;F = frei schwimmend;- = nichts")
    return log


def mx_intentos():
    log, p = one("b7-mx-intentos", "Hoja de un mexicano: fechas día/mes, litros cambiados y volumen, dureza en ppm, respuestas con comentario.", "Lorena Zavala/intentos.csv")
    p.head(["Pecera", "Litros", "Especie", "Se juntaron", "Se separaron", "Machos", "Hembras", "Temp °C", "Dureza general (ppm)", "Litros cambiados", "Agua más fría (°C menos)", "Alimento vivo (s/n)", "Corriente extra", "¿Pusieron?", "Fecha puesta", "Huevos aprox", "Causa de la pérdida", "Comentario"],
           "system", "", "species", "began", "ended", "males", "females", "temperature_c", "gh_dh", "water_change_pct", "refill_delta_c", "live_food", "flow", "spawned", "spawned_at", "eggs", "loss", "notes")
    S = dict(species="Corydoras aeneus", system="6")
    p.ac(["6", "80", "Corydoras aeneus", "18/01/2025", "25/01/2025", "3", "2", "25", "71.4", "40", "3", "s", "s", "sí, muchas", "20/01/2025", "150", "", "pegados al vidrio"], began="2025-01-18", ended="2025-01-25", males=3, females=2, temperature_c=25, gh_dh=71.4 / 17.848, water_change_pct=50, refill_delta_c=-3, live_food=True, flow=True, spawned=True, spawned_at="2025-01-20", eggs=150, eggs_method="*", notes="pegados al vidrio", **S)
    p.ac(["6", "80", "Corydoras aeneus", "08/02/2025", "15/02/2025", "3", "2", "26", "89.2", "20", "0", "n", "n", "no", "", "", "", ""], began="2025-02-08", ended="2025-02-15", males=3, females=2, temperature_c=26, gh_dh=89.2 / 17.848, water_change_pct=25, refill_delta_c=0, live_food=False, flow=False, spawned=False, **S)
    p.ac(["6", "80", "Corydoras aeneus", "22/02/2025", "01/03/2025", "3", "2", "25", "blanda", "40", "4", "s", "s", "sí", "24/02/2025", "120", "hongo", ""], d="I:NUM:gh_dh", began="2025-02-22", ended="2025-03-01", males=3, females=2, temperature_c=25, water_change_pct=50, refill_delta_c=-4, live_food=True, flow=True, spawned=True, spawned_at="2025-02-24", eggs=120, eggs_method="*", loss="fungus", **S)
    return log


LOGS = [uk_killi_people, de_blocks, fr_semaines, es_diario, us_sheet_per_species, de_gelege, en_turned, us_logger, de_wochentage_quer, mx_intentos]
