from svgfit.render.pdf.avoid_words import place, stretches


def test_a_line_is_broken_where_words_are() -> None:
    words = [(30.0, -2.0, 40.0, 2.0), (35.0, -2.0, 50.0, 2.0), (60.0, 3.0, 70.0, 5.0), (95.0, -1.0, 110.0, 1.0)]
    assert stretches((0.0, 0.0), (100.0, 0.0), words) == [((0.0, 0.0), (29.3, 0.0)), ((50.7, 0.0), (94.3, 0.0))]
    turned = [(top, left, bottom, right) for left, top, right, bottom in words]
    assert stretches((0.0, 100.0), (0.0, 0.0), turned) == [((0.0, 0.0), (0.0, 29.3)), ((0.0, 50.7), (0.0, 94.3))]
    assert stretches((0.0, 0.0), (100.0, 0.0), []) == [((0.0, 0.0), (100.0, 0.0))]
    assert stretches((0.0, 0.0), (20.0, 0.0), [(-5.0, -1.0, 30.0, 1.0)]) == []


def test_a_mark_stands_where_it_is_asked_for_or_beside_the_word_there() -> None:
    assert place(10.0, 200.0, 0.25, 50.0, 4.0, [], True) == 60.0
    words = [(55.0, 48.0, 75.0, 52.0)]
    spot = place(10.0, 200.0, 0.25, 50.0, 4.0, words, True)
    assert spot + 4.0 < 55.0 or spot - 4.0 > 75.0
    assert abs(spot - 60.0) < 25.0
    assert place(10.0, 200.0, 0.25, 50.0, 4.0, [(0.0, 40.0, 400.0, 60.0)], True) == 60.0  # no place is free
    assert place(10.0, 200.0, 0.25, 50.0, 4.0, [(0.0, 60.0, 400.0, 70.0)], False) < 55.4  # down the page
