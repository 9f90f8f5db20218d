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
PAGE = {
    "rehearsal": "Prova",
    "play": "Avvia",
    "pause": "Pausa",
    "segment_start": "Torna all’inizio",
    "segment_next": "Avanti",
    "repeat_block": "Ripeti questo blocco",
    "speed": "Velocità",
    "controls": "Riproduzione della lezione",
    "arrangement": "Come si legge la pagina",
    "up_close": "Da vicino",
    "from_afar": "Da lontano",
    "dark": "Scuro",
    "whole_class": "Tutta la lezione",
    "seconds_left": "Secondi rimasti",
    "say_now": "Di’ adesso",
    "say_then": "Di’ dopo",
    "in_time": "tra {time}",
    "seconds": "{seconds} s",
    "takes": "dura {time}",
    "setup": "Preparazione",
    "watch": "Attenzione",
    "harder": "Più difficile",
    "body_position": "Posizione",
    "camera_view": "Inquadratura",
    "to_mend": "Da correggere",
    "remark": "Nota",
    "plan_line": "riga {line} del piano",
    "over": "La lezione è finita.",
    "silent": "Questo browser non dà suono: la lezione procede senza segnali.",
    "keys": (
        "Tasti: la barra spaziatrice avvia e mette in pausa, la freccia sinistra torna all’inizio del tratto, "
        "la destra passa al successivo."
    ),
    "needs_script": "Questa pagina riproduce la lezione con JavaScript, che in questo browser è disattivato.",
}
# Written for the editor, and for the page that the class is published on.
NOTES: dict[str, str] = {}
