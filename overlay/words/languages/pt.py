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
# Printed on the shot list, the script and the picture of the class.
PAPER = {
    "heading": "Lista de planos",
    "playing_order": "Na ordem da aula",
    "filming_order": "Na ordem de gravação",
    "number": "N.º",
    "timecode": "Duração, timecode",
    "what": "O quê",
    "setup": "Posição, câmera, chão",
    "equipment": "No chão",
    "filmed": "Gravado",
    "keep": "Vale",
    "notes": "Notas",
    "date": "Data",
    "length": "Duração",
    "picture": "Imagem",
    "sound": "Sinais sonoros",
    "sound_settings": "{sample_rate} kHz, 24 bits, estéreo, {loudness} LUFS, picos de no máximo {ceiling} dBTP",
    "work_a_side": "Trabalho por lado",
    "no_side": "ambos",
    "shots": "Planos",
    "shots_and_inserts": "{shots} + {inserts} inserts",
    "setups": "Posições de câmera",
    "setups_saved": "{filming} na ordem de gravação, {playing} na ordem da aula: {saved} a menos",
    "setup_number": "Posição {number}",
    "as_it_stands": "Câmera e posição como estão",
    "lay_out": "Para preparar",
    "nothing": "Nada",
    "insert": "Insert da prévia",
    "handles": "sobras de {handles}",
    "page_of": "Página {page} de {pages}",
    "frame_rate": "{rate} fps",
    "drop_frame": "drop-frame",
    "non_drop": "non-drop",
    "script": "Roteiro",
    "seconds_left": "Segundos restantes",
    "beeps": "Sinais",
    "to_say": "O que dizer",
    "budget": "fala: {needs} de {has} s",
    "words_over": "palavras a mais: cerca de {count}",
    "changed": "novo nesta volta",
    "harder": "Mais difícil",
    "watch": "Atenção",
    "beep_pop": "bipe de sincronia",
    "beep_ready": "atenção",
    "beep_start": "começa",
    "beep_change": "troca",
    "beep_stop": "para",
    "beep_half": "metade",
    "beep_last": "quase lá",
    "beep_finish": "fim da aula",
    "timeline": "A aula em imagem",
    "hands": "Mãos com carga",
    "sides": "Lado",
    "speech": "Fala",
    "full": "cheio",
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
    "to_go": "Segundos restantes",
    "say_now": "Diga agora",
    "say_then": "Diga depois",
    "in_time": "em {time}",
    "seconds": "{seconds} s",
    "takes": "dura {time}",
    "setting_up": "Preparação",
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
NOTES = {
    "description_class": "Uma aula para acompanhar de {length}: {blocks} blocos, {work} de trabalho.",
    "description_class_one": "Uma aula para acompanhar de {length}: um bloco, {work} de trabalho.",
    "description_needs": "Você precisa de: {equipment}.",
    "description_needs_nothing": "Você só precisa de um pouco de espaço.",
    "notes_head": "{title}: notas para a edição",
    "notes_place": (
        "ONDE VAI CADA ARQUIVO\nCrie uma timeline de {picture}. Coloque o material gravado de modo que a aula "
        "comece em {zero}. Depois coloque imagens, sinais e legendas em {start}, cada um em sua própria faixa. "
        "Imagens e sinais têm {frames} quadros, como a aula: nada é ajustado de ouvido."
    ),
    "notes_leader": (
        "Primeiro vem uma ponta de {length}: em {pop} soa um tom de um quadro e as imagens piscam em branco no "
        "mesmo quadro, dois segundos antes da aula. Sincronize por ele e corte a ponta antes de publicar. "
        "chapters.txt e description.txt já contam sem ela; todo o resto conta com ela."
    ),
    "notes_no_leader": "Não há bipe de sincronia: os arquivos começam com a aula.",
    "notes_files": "O QUE É CADA ARQUIVO",
    "notes_layers": "camadas transparentes sobre o material, ProRes 4444 com alfa direto (não pré-multiplicado)",
    "notes_movies": "camadas como vídeos ou imagens, alfa direto",
    "notes_key": "camadas para programas sem alfa: recorte a cor chapada {color} com chroma key",
    "notes_fill_and_matte": "camadas para programas sem alfa: o preenchimento e sua máscara em cinza",
    "notes_stills": "títulos e prévias como imagens estáticas, também com alfa direto",
    "notes_tones": "os sinais, {settings}; deixe o fader em 0 dB e ajuste a voz ao lado deles",
    "notes_captions": "o que é dito, um conjunto por idioma: use .srt, ou .vtt para a web, ou .ttml para emissoras",
    "notes_tracks": (
        "a aula inteira com faixas e marcadores, para um programa que lê OpenTimelineIO; uma lista de edição por "
        "faixa para um que não lê"
    ),
    "notes_chapters": (
        "os blocos como capítulos: .vtt para um player web, .txt para colar sob o vídeo, .ffmetadata para o "
        "arquivo final com FFmpeg"
    ),
    "notes_description": "texto para a página em que a aula é publicada",
    "notes_paper": "lista de planos e roteiro para imprimir, e a aula em imagem",
    "notes_trouble": (
        "SE UM ARQUIVO NÃO ENTRAR\nOs arquivos .mov apontam muitas vezes para as mesmas imagens e por isso são "
        "pequenos. Um programa que não os lê lê o que isto faz: overlay build PLAN --plain-mov"
    ),
    "notes_check": "CONFIRA O RESULTADO\nQuando a edição estiver exportada: overlay verify PLAN EDIÇÃO",
}
