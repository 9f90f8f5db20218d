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
# Printed on the shot list and the script.
PAPER = {
    "heading": "Lista de planos",
    "timecode": "Timecode, duración",
    "what": "Qué",
    "side": "Lado",
    "position": "Posición, cámara",
    "equipment": "Material",
    "first_cue": "Primera frase",
    "filmed": "Grabado",
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
    "seconds_left": "Segundos que quedan",
    "say_now": "Di ahora",
    "say_then": "Di después",
    "in_time": "en {time}",
    "seconds": "{seconds} s",
    "takes": "dura {time}",
    "setup": "Preparación",
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
NOTES: dict[str, str] = {}
