"""Spanish."""

# Said in the class, and shown on its pictures.
SAID = {
    "left": "izquierda",
    "right": "derecha",
    "next_call": "Ahora viene: {next}.",
    "last_call": "Últimos {seconds} segundos.",
    "opening": "Inicio",
    "preview": "A continuación",
    "work": "Trabajo",
    "rest": "Descanso",
    "closing": "Cierre",
    "next": "Después",
    "round": "Vuelta",
    "rounds": "vueltas",
    "of": "de",
    "easier": "Más fácil",
    "needed": "Necesitas",
    "caution": (
        "Para si notas dolor, mareo, molestias en el pecho o una falta de aire inusual, y pide "
        "ayuda médica si no se pasa. Si estás embarazada, lesionada o lesionado, enferma o enfermo,"
        " o empiezas a hacer ejercicio, consulta antes a tu médico o a un instructor cualificado. "
        "Deja el suelo libre y, en caso de duda, elige la versión más fácil."
    ),
    "leader": "Guía",
}
# Printed on the shot list, the script and the picture of the class.
PAPER = {
    "heading": "Lista de tomas",
    "playing_order": "En orden de la clase",
    "filming_order": "En orden de rodaje",
    "number": "N.º",
    "timecode": "Duración, código",
    "what": "Qué",
    "setup": "Posición, cámara, suelo",
    "equipment": "En el suelo",
    "filmed": "Rodada",
    "keep": "Vale",
    "notes": "Notas",
    "date": "Fecha",
    "length": "Duración",
    "picture": "Imagen",
    "sound": "Señales sonoras",
    "sound_settings": "{sample_rate} kHz, 24 bits, estéreo, {loudness} LUFS, picos de {ceiling} dBTP como máximo",
    "work_a_side": "Trabajo por lado",
    "no_side": "ambos",
    "shots": "Tomas",
    "shots_and_inserts": "{shots} + {inserts} insertos",
    "setups": "Emplazamientos",
    "setups_saved": "{filming} en orden de rodaje, {playing} en orden de la clase: {saved} menos",
    "setup_number": "Emplazamiento {number}",
    "as_it_stands": "Cámara y posición como estén",
    "lay_out": "Para preparar",
    "nothing": "Nada",
    "insert": "Inserto del avance",
    "handles": "colas de {handles}",
    "page_of": "Página {page} de {pages}",
    "frame_rate": "{rate} fps",
    "drop_frame": "drop-frame",
    "non_drop": "non-drop",
    "script": "Guion",
    "seconds_left": "Segundos restantes",
    "beeps": "Señales",
    "to_say": "Qué decir",
    "budget": "palabras: {needs} de {has} s",
    "words_over": "palabras de más: unas {count}",
    "changed": "nuevo en esta vuelta",
    "harder": "Más difícil",
    "watch": "Ojo",
    "beep_pop": "pitido de sincronía",
    "beep_ready": "atención",
    "beep_start": "empieza",
    "beep_change": "cambio",
    "beep_stop": "alto",
    "beep_half": "mitad",
    "beep_last": "ya casi",
    "beep_finish": "fin de la clase",
    "timeline": "La clase en imagen",
    "hands": "Manos cargadas",
    "sides": "Lado",
    "speech": "Palabra",
    "full": "lleno",
}
# Shown on the rehearsal page.
PAGE = {
    "rehearsal": "Ensayo",
    "play": "Reproducir",
    "pause": "Pausa",
    "segment_start": "Volver al inicio",
    "segment_next": "Siguiente",
    "repeat_block": "Repetir este bloque",
    "speed": "Velocidad",
    "controls": "Reproducción de la clase",
    "arrangement": "Cómo se lee la página",
    "up_close": "De cerca",
    "from_afar": "De lejos",
    "dark": "Oscuro",
    "whole_class": "Toda la clase",
    "to_go": "Segundos que quedan",
    "say_now": "Di ahora",
    "say_then": "Di después",
    "in_time": "en {time}",
    "seconds": "{seconds} s",
    "takes": "dura {time}",
    "setting_up": "Preparación",
    "watch": "Vigila",
    "harder": "Más difícil",
    "body_position": "Posición",
    "camera_view": "Cámara",
    "to_mend": "Por corregir",
    "remark": "Observación",
    "plan_line": "línea {line} del plan",
    "over": "La clase ha terminado.",
    "silent": "Este navegador no da sonido: la clase se reproduce sin pitidos.",
    "keys": (
        "Teclas: la barra espaciadora reproduce y pausa, la flecha izquierda vuelve al inicio del tramo, "
        "la derecha pasa al siguiente."
    ),
    "needs_script": "Esta página reproduce la clase con JavaScript, que está desactivado en este navegador.",
}
# Written for the editor, and for the page that the class is published on.
NOTES = {
    "description_class": "Una clase para seguir de {length}: {blocks} bloques, {work} de trabajo.",
    "description_class_one": "Una clase para seguir de {length}: un bloque, {work} de trabajo.",
    "description_needs": "Necesitas: {equipment}.",
    "description_needs_nothing": "Solo necesitas un poco de espacio.",
    "notes_head": "{title}: notas para el montaje",
    "notes_place": (
        "DÓNDE VA CADA COSA\nCrea una línea de tiempo de {picture}. Coloca el material rodado de modo que la clase "
        "empiece en {zero}. Después coloca imágenes, señales y subtítulos en {start}, cada uno en su propia pista. "
        "Imágenes y señales duran {frames} fotogramas, como la clase: no hay que ajustar nada de oído."
    ),
    "notes_leader": (
        "Primero va un arranque de {length}: en {pop} suena un tono de un fotograma y las imágenes destellan en "
        "blanco en ese mismo fotograma, dos segundos antes de la clase. Sincroniza con él y corta el arranque "
        "antes de publicar. chapters.txt y description.txt ya cuentan sin él; todo lo demás cuenta con él."
    ),
    "notes_no_leader": "No hay pitido de sincronía: los archivos empiezan con la clase.",
    "notes_files": "QUÉ ES CADA ARCHIVO",
    "notes_layers": "capas transparentes sobre el material, ProRes 4444 con alfa directo (no premultiplicado)",
    "notes_movies": "capas como vídeos o imágenes, alfa directo",
    "notes_key": "capas para programas sin alfa: elimina con croma el color plano {color}",
    "notes_fill_and_matte": "capas para programas sin alfa: el relleno y su máscara en gris",
    "notes_stills": "títulos y avances como imágenes fijas, también con alfa directo",
    "notes_tones": "las señales, {settings}; deja el fader a 0 dB y ajusta la voz a su lado",
    "notes_captions": "lo que se dice, un juego por idioma: usa .srt, o .vtt para la web, o .ttml para emisoras",
    "notes_tracks": (
        "toda la clase con sus pistas y marcadores, para un programa que lee OpenTimelineIO; una lista de edición "
        "por pista para uno que no"
    ),
    "notes_chapters": (
        "los bloques como capítulos: .vtt para un reproductor web, .txt para pegar bajo el vídeo, .ffmetadata para "
        "el archivo final con FFmpeg"
    ),
    "notes_description": "texto para la página donde se publica la clase",
    "notes_paper": "lista de tomas y guion para imprimir, y la clase en imagen",
    "notes_trouble": (
        "SI UN ARCHIVO NO ENTRA\nLos archivos .mov apuntan muchas veces a las mismas imágenes y por eso son "
        "pequeños. Un programa que no pueda leerlos lee lo que hace esto: overlay build PLAN --plain-mov"
    ),
    "notes_check": "COMPRUEBA EL RESULTADO\nCuando el montaje esté exportado: overlay verify PLAN MONTAJE",
}
