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
PAGE: dict[str, str] = {}
# Written for the editor, and for the page that the class is published on.
NOTES: dict[str, str] = {}
