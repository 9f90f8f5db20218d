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
PAGE = {
    "rehearsal": "Probe",
    "play": "Abspielen",
    "pause": "Anhalten",
    "segment_start": "Zurück zum Anfang",
    "segment_next": "Weiter",
    "repeat_block": "Diesen Block wiederholen",
    "speed": "Tempo",
    "controls": "Die Stunde abspielen",
    "arrangement": "Wie die Seite gelesen wird",
    "up_close": "Von Nahem",
    "from_afar": "Von Weitem",
    "dark": "Dunkel",
    "whole_class": "Die ganze Stunde",
    "seconds_left": "Sekunden bis zum Ende",
    "say_now": "Jetzt sagen",
    "say_then": "Danach sagen",
    "in_time": "in {time}",
    "seconds": "{seconds} s",
    "takes": "dauert {time}",
    "setup": "Aufbau",
    "watch": "Achte auf",
    "harder": "Schwerer",
    "body_position": "Stellung",
    "camera_view": "Kamera",
    "to_mend": "Zu beheben",
    "remark": "Hinweis",
    "plan_line": "Zeile {line} des Plans",
    "over": "Die Stunde ist zu Ende.",
    "silent": "Dieser Browser gibt keinen Ton: Die Stunde läuft ohne Signaltöne.",
    "keys": (
        "Tasten: Die Leertaste spielt ab und hält an, Pfeil links geht zum Anfang des Abschnitts zurück, "
        "Pfeil rechts zum nächsten."
    ),
    "needs_script": "Diese Seite spielt die Stunde mit JavaScript ab, das in diesem Browser ausgeschaltet ist.",
}
# Written for the editor, and for the page that the class is published on.
NOTES: dict[str, str] = {}
