"""Portuguese."""

# Said in the class, and shown on its pictures.
SAID = {
    "left": "esquerda",
    "right": "direita",
    "next_call": "A seguir: {next}.",
    "last_call": "Últimos {seconds} segundos.",
    "opening": "Abertura",
    "preview": "A seguir",
    "work": "Trabalho",
    "rest": "Descanso",
    "closing": "Fecho",
    "next": "Depois",
    "round": "Volta",
    "rounds": "voltas",
    "of": "de",
    "easier": "Mais fácil",
    "needed": "Precisa de",
    "caution": (
        "Pare se sentir dor, tonturas, desconforto no peito ou falta de ar invulgar, e procure "
        "ajuda médica se não passar. Em caso de gravidez, lesão, doença ou se está a começar, "
        "consulte antes um médico ou um instrutor qualificado. Mantenha o chão livre e, em caso de "
        "dúvida, escolha a versão mais fácil."
    ),
    "leader": "Guia",
}
# Printed on the shot list and the script.
PAPER = {
    "heading": "Lista de planos",
    "timecode": "Timecode, duração",
    "what": "O quê",
    "side": "Lado",
    "position": "Posição, câmara",
    "equipment": "Material",
    "first_cue": "Primeira frase",
    "filmed": "Gravado",
}
# Shown on the rehearsal page.
PAGE: dict[str, str] = {}
# Written for the editor, and for the page that the class is published on.
NOTES: dict[str, str] = {}
