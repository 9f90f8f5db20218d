"""Italian."""

# Said in the class, and shown on its pictures.
SAID = {
    "left": "sinistra",
    "right": "destra",
    "next_call": "Poi: {next}.",
    "last_call": "Ultimi {seconds} secondi.",
    "opening": "Apertura",
    "preview": "In arrivo",
    "work": "Lavoro",
    "rest": "Pausa",
    "closing": "Chiusura",
    "next": "Poi",
    "round": "Giro",
    "rounds": "giri",
    "of": "di",
    "easier": "Più facile",
    "needed": "Ti serve",
    "caution": (
        "Fermati in caso di dolore, capogiri, fastidio al petto o affanno insolito, e chiedi aiuto "
        "medico se non passa. In gravidanza, dopo un infortunio, in caso di malattia o se sei alle "
        "prime armi, senti prima un medico o un istruttore qualificato. Tieni libero il pavimento e"
        " nel dubbio scegli la versione più facile."
    ),
    "leader": "Coda",
}
# Printed on the shot list and the script.
PAPER = {
    "heading": "Elenco inquadrature",
    "timecode": "Timecode, durata",
    "what": "Che cosa",
    "side": "Lato",
    "position": "Posizione, camera",
    "equipment": "Attrezzi",
    "first_cue": "Prima frase",
    "filmed": "Girato",
}
# Shown on the rehearsal page.
PAGE: dict[str, str] = {}
# Written for the editor, and for the page that the class is published on.
NOTES: dict[str, str] = {}
