"""Blind logs, tenth set: written after the ninth was mended, with the expected tables fixed before the program read them."""

import datetime as dt

from byhand import *

D = lambda *x: dt.date(*x)
F = lambda f: (f - 32) / 1.8


def uk_barbs():
    log, p = one("b10-uk-barbs", "A British keeper's barbs: headings in his own words, one per kind of husbandry.", "Clive Rudd/barbs.csv")
    p.head(["Vessel", "Sort of fish", "Fish popped in", "Fish whipped out", "Cocks", "Hens", "Degrees C", "Acidity", "Soft water EC", "Lamp hours", "Fattened up for (days)", "Daphnia offered live", "Success or not", "Eggs on", "Number laid", "Of which clear", "Wrigglers on", "End of eggs", "Jottings"],
           "system", "species", "began", "ended", "males", "females", "temperature_c", "ph", "conductivity_us_cm", "light_hours", "conditioning_days", "live_food", "spawned", "spawned_at", "eggs", "fertile", "hatch_to", "loss", "notes")
    S = dict(species="Puntius titteya", system="B2", live_food="*", conductivity_us_cm="*")
    p.ac(["B2", "Puntius titteya", "11/01/2025", "18/01/2025", "2", "2", "25", "6.4", "180", "10", "14", "yes", "success", "13/01/2025", "120", "100", "14/01/2025", "", "java moss"], began="2025-01-11", ended="2025-01-18", males=2, females=2, temperature_c=25, ph=6.4, light_hours=10, conditioning_days=14, spawned=True, spawned_at="2025-01-13", eggs=120, fertile=100, hatch_to="2025-01-14", notes="java moss", **S)
    p.ac(["B2", "Puntius titteya", "01/02/2025", "08/02/2025", "2", "2", "24", "6.5", "190", "10", "7", "no", "not", "", "", "", "", "", ""], began="2025-02-01", ended="2025-02-08", males=2, females=2, temperature_c=24, ph=6.5, light_hours=10, conditioning_days=7, spawned="*", clutch=False, **S)
    p.ac(["B2", "Puntius titteya", "22/02/2025", "01/03/2025", "2", "2", "25", "6.4", "185", "10", "14", "yes", "success", "24/02/2025", "umpteen", "", "", "eaten by the parents", ""], d="O:NUM:eggs", began="2025-02-22", ended="2025-03-01", males=2, females=2, temperature_c=25, ph=6.4, light_hours=10, conditioning_days=14, spawned=True, spawned_at="2025-02-24", loss="eaten by parents", **S)
    return log


def de_welse():
    log, p = one("b10-de-welse", "Welszüchter mit eigenen Worten in den Spalten, Datum kurz, Eier als ca.", "Alois Brandmeier/welse.csv", delim=";")
    p.head(["Beckennr.", "Welsart", "rein", "raus", "M", "W", "Grad", "µS", "WW in %", "kälter nachgefüllt um °C", "Eier ja/nein", "Eier am", "wie viele", "geschlüpft am", "frei am", "Verlust weil", "Sonst"],
           "system", "species", "began", "ended", "males", "females", "temperature_c", "conductivity_us_cm", "water_change_pct", "refill_delta_c", "spawned", "spawned_at", "eggs", "hatch_to", "swim_to", "loss", "notes")
    S = dict(species="Corydoras panda", system="14", eggs_method="*")
    p.ac(["14", "Corydoras panda", "11.1.25", "25.1.25", "3", "2", "23", "210", "50", "4", "ja", "13.1.25", "ca. 40", "17.1.25", "19.1.25", "", "an Scheibe"], began="2025-01-11", ended="2025-01-25", males=3, females=2, temperature_c=23, conductivity_us_cm=210, water_change_pct=50, refill_delta_c=-4, spawned=True, spawned_at="2025-01-13", eggs=40, hatch_to="2025-01-17", swim_to="2025-01-19", notes="an Scheibe", **S)
    p.ac(["14", "Corydoras panda", "8.2.25", "22.2.25", "3", "2", "24", "220", "30", "1", "nein", "", "", "", "", "", ""], began="2025-02-08", ended="2025-02-22", males=3, females=2, temperature_c=24, conductivity_us_cm=220, water_change_pct=30, refill_delta_c=-1, spawned=False, **{k: v for k, v in S.items() if k != "eggs_method"})
    p.ac(["14", "Corydoras panda", "8.3.25", "22.3.25", "3", "2", "23", "2l5", "50", "5", "ja", "10.3.25", "55", "", "", "verpilzt", ""], d="H:NUM:conductivity_us_cm", began="2025-03-08", ended="2025-03-22", males=3, females=2, temperature_c=23, water_change_pct=50, refill_delta_c=-5, spawned=True, spawned_at="2025-03-10", eggs=55, loss="fungus", **S)
    return log


def fr_killis():
    log, p = one("b10-fr-killis", "Killis d'un Belge: entêtes à sa façon, sexes en lettres, dates avec tirets.", "Firmin Delvaux/killis.csv", delim=";")
    p.head(["Bac", "Nom du poisson", "Mis à pondre le", "Repris le", "Composition (m/f)", "Degrés", "pH mesuré", "Tourbe ou feuilles", "Vivant distribué", "A-t-on des œufs ?", "Premier œuf le", "Total d'œufs", "Bons œufs", "Œufs moisis", "Disparition", "Divers"],
           "system", "species", "began", "ended", "males females", "temperature_c", "ph", "leaf_litter", "live_food", "spawned", "spawned_at", "eggs", "fertile", "", "loss", "notes")
    S = dict(species="Fundulopanchax gardneri", leaf_litter="*", live_food="*")
    p.ac(["K1", "Fundulopanchax gardneri", "04-01-2025", "14-01-2025", "1m 2f", "22", "6,3", "oui", "oui", "oui", "06-01-2025", "50", "44", "6", "", "mop noir"], system="K1", began="2025-01-04", ended="2025-01-14", males=1, females=2, temperature_c=22, ph=6.3, spawned=True, spawned_at="2025-01-06", eggs=50, fertile=44, notes="mop noir", **S)
    p.ac(["K1", "Fundulopanchax gardneri", "01-02-2025", "11-02-2025", "1m 2f", "21", "6,4", "oui", "non", "non", "", "", "", "", "", ""], system="K1", began="2025-02-01", ended="2025-02-11", males=1, females=2, temperature_c=21, ph=6.4, spawned=False, **S)
    p.ac(["K2", "Fundulopanchax gardneri", "01-03-2025", "15-03-2025", "1m 1f", "23", "66", "non", "oui", "oui", "05-03-2025", "30", "20", "10", "", ""], d="G:NUM:ph", system="K2", began="2025-03-01", ended="2025-03-15", males=1, females=1, temperature_c=23, spawned=True, spawned_at="2025-03-05", eggs=30, fertile=20, **S)
    return log


def us_notebook():
    log, p = one("b10-us-diary", "American diary in a spreadsheet: one tank, sentences, inch of water drained, a maybe.", "Jolene Pruitt/diary.xlsx", "excelize", "2025", always=dict(system="*", species="Corydoras aeneus"))
    p.row(["Bronze cory diary (Corydoras aeneus)"])
    p.row([None])
    p.head(["Date", "Notes"], "at", "")
    a = p.row([D(2025, 1, 10), "Moved 3 males and 2 females into the breeding tank"])
    p.begins(a, began="2025-01-10", spawned=True, spawned_at="2025-01-13", males="*", females="*", temperature_c="*")
    n = p.row([D(2025, 1, 12), "Did a 60% water change"])
    p.act(n, "2025-01-12", "water_change", 60, "%")
    n = p.row([D(2025, 1, 13), "Eggs all over the glass, counted 130"])
    p.clutch(n, a, laid_to="2025-01-13", eggs=130, hatch_to="2025-01-17", swim_to="2025-01-19")
    p.row([D(2025, 1, 17), "Eggs hatched"])
    p.row([D(2025, 1, 19), "Fry are free swimming now"])
    b = p.row([D(2025, 2, 14), "Put the same group back in the breeding tank"])
    p.begins(b, began="2025-02-14", spawned=False, ended="2025-02-24", males="*", females="*", temperature_c="*")
    n = p.row([D(2025, 2, 18), "Thought I saw an egg on the heater, hard to tell"])
    p.sheet.doubt(n, "", CODES["ENTRY"])
    p.row([D(2025, 2, 24), "Nothing, called it off"])
    return log


LOGS = [uk_barbs, de_welse, fr_killis, us_notebook]
