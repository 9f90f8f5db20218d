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
PAGE = {
    "rehearsal": "Ensaio",
    "play": "Reproduzir",
    "pause": "Pausar",
    "segment_start": "Voltar ao início",
    "segment_next": "Seguinte",
    "repeat_block": "Repetir este bloco",
    "speed": "Velocidade",
    "controls": "Reprodução da aula",
    "arrangement": "Como se lê a página",
    "up_close": "De perto",
    "from_afar": "De longe",
    "dark": "Escuro",
    "whole_class": "A aula inteira",
    "seconds_left": "Segundos restantes",
    "say_now": "Diga agora",
    "say_then": "Diga depois",
    "in_time": "em {time}",
    "seconds": "{seconds} s",
    "takes": "dura {time}",
    "setup": "Preparação",
    "watch": "Atenção",
    "harder": "Mais difícil",
    "body_position": "Posição",
    "camera_view": "Câmera",
    "to_mend": "A corrigir",
    "remark": "Observação",
    "plan_line": "linha {line} do plano",
    "over": "A aula terminou.",
    "silent": "Este navegador não emite som: a aula corre sem sinais sonoros.",
    "keys": (
        "Teclas: a barra de espaço reproduz e pausa, a seta esquerda volta ao início do trecho, "
        "a direita passa ao seguinte."
    ),
    "needs_script": "Esta página reproduz a aula com JavaScript, que está desligado neste navegador.",
}
# Written for the editor, and for the page that the class is published on.
NOTES: dict[str, str] = {}
