"""German."""

# Said in the class, and shown on its pictures.
SAID = {
    "left": "links",
    "right": "rechts",
    "next_call": "Als Nächstes: {next}.",
    "last_call": "Noch {seconds} Sekunden.",
    "opening": "Auftakt",
    "preview": "Gleich",
    "work": "Arbeit",
    "rest": "Pause",
    "closing": "Abschluss",
    "next": "Danach",
    "round": "Runde",
    "rounds": "Runden",
    "of": "von",
    "easier": "Leichter",
    "needed": "Du brauchst",
    "caution": (
        "Hör auf bei Schmerzen, Schwindel, Druck in der Brust oder ungewohnter Atemnot, und hol "
        "ärztliche Hilfe, wenn es nicht vergeht. Frag bei Schwangerschaft, Verletzung, Krankheit "
        "oder wenn du neu anfängst vorher eine Ärztin, einen Arzt oder eine ausgebildete "
        "Trainingsleitung. Halte den Boden frei und nimm im Zweifel die leichtere Variante."
    ),
    "leader": "Vorlauf",
}
# Printed on the shot list and the script.
PAPER = {
    "heading": "Einstellungsliste",
    "timecode": "Timecode, Länge",
    "what": "Was",
    "side": "Seite",
    "position": "Stellung, Kamera",
    "equipment": "Geräte",
    "first_cue": "Erster Satz",
    "filmed": "Gedreht",
}
# Shown on the rehearsal page.
PAGE: dict[str, str] = {}
# Written for the editor, and for the page that the class is published on.
NOTES: dict[str, str] = {}
