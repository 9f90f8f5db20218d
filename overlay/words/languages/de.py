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
# Printed on the shot list, the script and the picture of the class.
PAPER = {
    "heading": "Einstellungsliste",
    "playing_order": "In der Reihenfolge der Stunde",
    "filming_order": "In der Drehreihenfolge",
    "number": "Nr.",
    "timecode": "Länge, Timecode",
    "what": "Was",
    "setup": "Stellung, Kamera, Boden",
    "equipment": "Am Boden",
    "filmed": "Gedreht",
    "keep": "Gut",
    "notes": "Notizen",
    "date": "Datum",
    "length": "Länge",
    "picture": "Bild",
    "sound": "Signaltöne",
    "sound_settings": "{sample_rate} kHz, 24 Bit, stereo, {loudness} LUFS, Spitzen höchstens {ceiling} dBTP",
    "work_a_side": "Arbeit je Seite",
    "no_side": "beide",
    "shots": "Einstellungen",
    "shots_and_inserts": "{shots} + {inserts} Zwischenschnitte",
    "setups": "Aufbauten",
    "setups_saved": "{filming} in der Drehreihenfolge, {playing} in der Reihenfolge der Stunde: {saved} gespart",
    "setup_number": "Aufbau {number}",
    "as_it_stands": "Kamera und Stellung, wie sie sind",
    "lay_out": "Bereitlegen",
    "nothing": "Nichts",
    "insert": "Zwischenschnitt für die Vorschau",
    "handles": "Handles {handles}",
    "page_of": "Seite {page} von {pages}",
    "frame_rate": "{rate} fps",
    "drop_frame": "Drop-Frame",
    "non_drop": "Non-Drop",
    "script": "Sprechtext",
    "seconds_left": "Sekunden noch",
    "beeps": "Töne",
    "to_say": "Was zu sagen ist",
    "budget": "Worte: {needs} von {has} s",
    "words_over": "Wörter zu viel: etwa {count}",
    "changed": "neu in dieser Runde",
    "harder": "Schwerer",
    "watch": "Achte auf",
    "beep_pop": "Sync-Ton",
    "beep_ready": "bereit",
    "beep_start": "Start",
    "beep_change": "Wechsel",
    "beep_stop": "Stopp",
    "beep_half": "Halbzeit",
    "beep_last": "gleich geschafft",
    "beep_finish": "Ende der Stunde",
    "timeline": "Die Stunde als Bild",
    "hands": "Hände belastet",
    "sides": "Seite",
    "speech": "Sprache",
    "full": "voll",
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
    "to_go": "Sekunden bis zum Ende",
    "say_now": "Jetzt sagen",
    "say_then": "Danach sagen",
    "in_time": "in {time}",
    "seconds": "{seconds} s",
    "takes": "dauert {time}",
    "setting_up": "Aufbau",
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
NOTES = {
    "description_class": "Eine Stunde zum Mitmachen von {length}: {blocks} Blöcke, {work} Arbeit.",
    "description_class_one": "Eine Stunde zum Mitmachen von {length}: ein Block, {work} Arbeit.",
    "description_needs": "Du brauchst: {equipment}.",
    "description_needs_nothing": "Du brauchst nur etwas Platz.",
    "notes_head": "{title}: Notizen für den Schnitt",
    "notes_place": (
        "WOHIN ALLES GEHÖRT\nLege eine Timeline mit {picture} an. Lege das Material so, dass die Stunde bei {zero} "
        "beginnt. Dann lege Bilder, Töne und Untertitel bei {start} an, jedes auf eine eigene Spur. Bilder und "
        "Töne sind {frames} Bilder lang wie die Stunde: Nichts wird nach Gehör geschoben."
    ),
    "notes_leader": (
        "Zuerst kommt ein Vorlauf von {length}: Bei {pop} klingt ein Ton von einem Bild und die Bilder blitzen im "
        "selben Bild weiß auf, zwei Sekunden vor der Stunde. Lege danach an und schneide den Vorlauf vor dem "
        "Veröffentlichen ab. chapters.txt und description.txt zählen schon ohne ihn, alles andere mit ihm."
    ),
    "notes_no_leader": "Es gibt keinen Sync-Ton: Die Dateien beginnen mit der Stunde.",
    "notes_files": "WAS JEDE DATEI IST",
    "notes_layers": "durchsichtige Ebenen über dem Material, ProRes 4444 mit geradem Alpha (nicht vormultipliziert)",
    "notes_movies": "Ebenen als Filme oder Bilder, gerades Alpha",
    "notes_key": "Ebenen für Programme ohne Alpha: die Fläche in {color} ausstanzen",
    "notes_fill_and_matte": "Ebenen für Programme ohne Alpha: die Füllung und ihre Maske als Grau",
    "notes_stills": "Titel und Vorschauen als Standbilder, ebenfalls mit geradem Alpha",
    "notes_tones": "die Signaltöne, {settings}; lass den Regler auf 0 dB und stelle die Stimme daneben ein",
    "notes_captions": "was gesagt wird, ein Satz je Sprache: nimm .srt, oder .vtt fürs Web, oder .ttml für Sender",
    "notes_tracks": (
        "die ganze Stunde mit Spuren und Markern für ein Programm, das OpenTimelineIO liest; eine Schnittliste je "
        "Spur für andere"
    ),
    "notes_chapters": (
        "die Blöcke als Kapitel: .vtt für einen Web-Player, .txt unter das Video, .ffmetadata für die fertige "
        "Datei mit FFmpeg"
    ),
    "notes_description": "Text für die Seite, auf der die Stunde erscheint",
    "notes_paper": "Einstellungsliste und Sprechtext zum Drucken und die Stunde als Bild",
    "notes_trouble": (
        "WENN EINE DATEI SICH NICHT ÖFFNEN LÄSST\nDie .mov-Dateien zeigen oft auf dieselben Bilder und sind darum "
        "klein. Ein Programm, das sie nicht liest, liest, was dies macht: overlay build PLAN --plain-mov"
    ),
    "notes_check": "PRÜFE DAS ERGEBNIS\nWenn der Schnitt exportiert ist: overlay verify PLAN SCHNITT",
}
