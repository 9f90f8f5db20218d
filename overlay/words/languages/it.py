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
# Printed on the shot list, the script and the picture of the class.
PAPER = {
    "heading": "Lista delle inquadrature",
    "playing_order": "Nell’ordine della lezione",
    "filming_order": "Nell’ordine di ripresa",
    "number": "N.",
    "timecode": "Durata, timecode",
    "what": "Che cosa",
    "setup": "Posizione, camera, pavimento",
    "equipment": "A terra",
    "filmed": "Girata",
    "keep": "Buona",
    "notes": "Note",
    "date": "Data",
    "length": "Durata",
    "picture": "Immagine",
    "sound": "Segnali acustici",
    "sound_settings": "{sample_rate} kHz, 24 bit, stereo, {loudness} LUFS, picchi al massimo {ceiling} dBTP",
    "work_a_side": "Lavoro per lato",
    "no_side": "entrambi",
    "shots": "Inquadrature",
    "shots_and_inserts": "{shots} + {inserts} inserti",
    "setups": "Postazioni",
    "setups_saved": "{filming} nell’ordine di ripresa, {playing} nell’ordine della lezione: {saved} in meno",
    "setup_number": "Postazione {number}",
    "as_it_stands": "Camera e posizione come sono",
    "lay_out": "Da preparare",
    "nothing": "Niente",
    "insert": "Inserto per l’anteprima",
    "handles": "maniglie di {handles}",
    "page_of": "Pagina {page} di {pages}",
    "frame_rate": "{rate} fps",
    "drop_frame": "drop-frame",
    "non_drop": "non-drop",
    "script": "Copione",
    "seconds_left": "Secondi rimasti",
    "beeps": "Segnali",
    "to_say": "Che cosa dire",
    "budget": "parole: {needs} di {has} s",
    "words_over": "parole di troppo: circa {count}",
    "changed": "nuovo in questo giro",
    "harder": "Più difficile",
    "watch": "Attenzione",
    "beep_pop": "bip di sincronia",
    "beep_ready": "pronti",
    "beep_start": "via",
    "beep_change": "cambio",
    "beep_stop": "stop",
    "beep_half": "metà",
    "beep_last": "quasi finito",
    "beep_finish": "fine della lezione",
    "timeline": "La lezione in immagine",
    "hands": "Mani caricate",
    "sides": "Lato",
    "speech": "Parlato",
    "full": "pieno",
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
    "to_go": "Secondi rimasti",
    "say_now": "Di’ adesso",
    "say_then": "Di’ dopo",
    "in_time": "tra {time}",
    "seconds": "{seconds} s",
    "takes": "dura {time}",
    "setting_up": "Preparazione",
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
NOTES = {
    "description_class": "Una lezione da seguire di {length}: {blocks} blocchi, {work} di lavoro.",
    "description_class_one": "Una lezione da seguire di {length}: un blocco, {work} di lavoro.",
    "description_needs": "Ti serve: {equipment}.",
    "description_needs_nothing": "Ti serve solo un po’ di spazio.",
    "notes_head": "{title}: note per il montaggio",
    "notes_place": (
        "DOVE VA OGNI FILE\nCrea una timeline di {picture}. Metti il girato in modo che la lezione cominci a "
        "{zero}. Poi metti immagini, segnali e sottotitoli a {start}, ciascuno su una traccia propria. Immagini e "
        "segnali durano {frames} fotogrammi, come la lezione: niente si aggiusta a orecchio."
    ),
    "notes_leader": (
        "Prima viene una testa di {length}: a {pop} suona un tono di un fotogramma e le immagini lampeggiano in "
        "bianco sullo stesso fotogramma, due secondi prima della lezione. Allinea su quello e taglia la testa "
        "prima di pubblicare. chapters.txt e description.txt contano già senza; tutto il resto conta con la testa."
    ),
    "notes_no_leader": "Non c’è bip di sincronia: i file cominciano con la lezione.",
    "notes_files": "CHE COS’È OGNI FILE",
    "notes_layers": "livelli trasparenti sopra il girato, ProRes 4444 con alfa diretto (non premoltiplicato)",
    "notes_movies": "livelli come filmati o immagini, alfa diretto",
    "notes_key": "livelli per programmi senza alfa: togli con il chroma key il colore piatto {color}",
    "notes_fill_and_matte": "livelli per programmi senza alfa: il riempimento e la sua maschera in grigio",
    "notes_stills": "titoli e anteprime come immagini fisse, anch’esse con alfa diretto",
    "notes_tones": "i segnali, {settings}; lascia il fader a 0 dB e regola la voce accanto",
    "notes_captions": (
        "quello che si dice, una serie per lingua: usa .srt, o .vtt per il web, o .ttml per le emittenti"
    ),
    "notes_tracks": (
        "tutta la lezione con tracce e marcatori, per un programma che legge OpenTimelineIO; una lista di "
        "montaggio per traccia per gli altri"
    ),
    "notes_chapters": (
        "i blocchi come capitoli: .vtt per un lettore web, .txt da incollare sotto il video, .ffmetadata per il "
        "file finito con FFmpeg"
    ),
    "notes_description": "testo per la pagina in cui la lezione è pubblicata",
    "notes_paper": "lista delle inquadrature e copione da stampare, e la lezione in immagine",
    "notes_trouble": (
        "SE UN FILE NON ENTRA\nI file .mov rimandano spesso alle stesse immagini e per questo sono piccoli. Un "
        "programma che non li legge legge quello che fa questo: overlay build PLAN --plain-mov"
    ),
    "notes_check": "CONTROLLA IL RISULTATO\nQuando il montaggio è esportato: overlay verify PLAN MONTAGGIO",
}
