"""Each third hint as a pattern with names for its parts, and each usual mistake as a sum of the same parts."""

import math
import re

NUMBER = r"\d+(?:\.\d+)?"


def worked_out(words):
    """The number of a sum as a hint writes it, angles in degrees."""
    text = words.replace("^", "**")
    text = re.sub(r"\b(sin|cos|tan) (-?[\d.]+)", r"\1(\2)", re.sub(r"(?<=[\d)]) x (?=[-+\d(a-z])", " * ", text))
    names = {
        "sin": lambda a: math.sin(math.radians(a)),
        "cos": lambda a: math.cos(math.radians(a)),
        "tan": lambda a: math.tan(math.radians(a)),
        "arcsin": lambda x: math.degrees(math.asin(x)),
        "arctan": lambda x: math.degrees(math.atan(x)),
        "sqrt": math.sqrt,
    }
    return eval(text, {"__builtins__": {}}, names)


RADIUS = rf"(?P<R>(?P<die>{NUMBER})(?: / \(1 - {NUMBER}\))?)"
ANGLE = rf"(?P<a>\({NUMBER} x \(1 - {NUMBER}\)\)|{NUMBER})"
CLIMB = rf"2 x {RADIUS} x \(1 - cos (?P<a>{NUMBER})\) \+ (?P<s>{NUMBER}) x sin {NUMBER}"
LOWEST = {
    "you leave out the straight that the tooling needs": "2 x {R} x (1 - cos {a})",
    "you count only one of the two arcs": "{R} x (1 - cos {a}) + {s} x sin {a}",
    "you leave out the two arcs": "{s} x sin {a}",
}
ORDINATE = (
    rf"(?P<r>{NUMBER}) x cos (?P<t>{NUMBER}) / tan (?P<a>{NUMBER}) "
    rf"\+ (?P<root>sqrt\((?P<B>{NUMBER})\^2 - .*\)) / sin {NUMBER}"
)
TWICE = "2 x ({r} x cos {t} / tan {a} + {root} / sin {a})"
SET = r"(?P<bend>.+) (?:x (?P<set>[\d.]+) / (?P<kept>[\d.]+|\(.*\))|/ (?P<left>\(1 - .*\)))"

MISTAKES = {
    ("marks", 1): (rf"(?P<flat>60) / 2 \+ {RADIUS} x (?P<a>{NUMBER}) / 57.296", {
        "you mark the middle of the bend, not its end": "{flat} / 2 + {R} x {a} / 2 / 57.296",
        "you mark the corner, where the straights would meet, not the end of the bend":
            "{flat} / 2 + {R} x tan({a} / 2)",
        "you mark the start of the bend, but the riser begins at its end": "{flat} / 2",
        "you use the radius of the die, not of the finished bend": "{flat} / 2 + {die} x {a} / 57.296",
        "you count the whole clamp flat from the middle, not half of it": "{flat} + {R} x {a} / 57.296",
    }),
    ("marks", 2): (rf"(?P<flat>60) / 2 \+ (?P<arc>{RADIUS} x (?P<a>{NUMBER}) / 57.296) \+ (?P<s>{NUMBER})", {
        "you leave out the arc of the inner bend": "{flat} / 2 + {s}",
        "you mark the end of the outer bend, but the riser ends at its start":
            "{flat} / 2 + {arc} + {s} + {R} x {outer} / 57.296",
        "you mark the middle of the outer bend, not its start":
            "{flat} / 2 + {arc} + {s} + {R} x {outer} / 2 / 57.296",
    }),
    ("marks", 3): (r"2 x \((?P<outer_mark>.*) \+ (?P<arc>\S+ / \(.*\) x \S+ / 57.296) \+ (?P<grip>\S+)\)", {
        "you take one half of the bar, not the whole": "{outer_mark} + {arc} + {grip}",
        "you leave out the arcs of the outer bends": "2 x ({outer_mark} + {grip})",
        "you leave out the grips": "2 x ({outer_mark} + {arc})",
    }),
    ("rise", 0): (r"(?P<s>\S+|\(.*?\)) x sin .*", {"you take the length of the riser, not its height": "{s}"}),
    ("rise", 1): (rf"(?P<s>\S+|\(.*?\)) x sin (?P<a>\S+) \+ 2 x {RADIUS} x \(1 - cos \S+\)", {
        "you leave out the two arcs": "{s} x sin {a}",
        "you count only one of the two arcs": "{s} x sin {a} + {R} x (1 - cos {a})",
        "you use the cosine, not the sine": "{s} x cos {a} + 2 x {R} x (1 - cos {a})",
        "you think that the arcs climb as steeply as the riser": "({s} + 2 x {R} x {a} / 57.296) x sin {a}",
    }),
    ("rise", 2): (r"(?P<more>\d+) / sin (?P<a>\S+)", {
        "you make the straight longer by the rise itself": "{more}",
        "you multiply by the sine, but you must divide by it": "{more} x sin {a}",
        "you use the cosine, not the sine": "{more} / cos {a}",
    }),
    ("rise", 3): (CLIMB, LOWEST),
    ("die", 1): (CLIMB, LOWEST),
    ("die", 3): (CLIMB, LOWEST),
    ("slip", 0): (r"(?P<arm>\(.*?\)) x (?P<off>.*) / 57", {"you count a degree as a millimetre": "{off}"}),
    ("slip", 1): (r"\((?P<width>\d+) / 2 - (?P<flat>60) / 2\) x (?P<off>.*) / 57.296", {
        "you use the whole width as the lever arm": "{width} x {off} / 57.296",
        "you measure the lever arm from the middle, not from the end of the clamp flat":
            "{width} / 2 x {off} / 57.296",
    }),
    ("slip", 3): (r"(?P<high>\S+) / (?P<arm>\(.*\)) x 57.296", {
        "you count a millimetre as a degree": "{high}",
        "you leave the angle in radians": "{high} / {arm}",
        "you use the whole width as the lever arm": "{high} / (2 x {arm}) x 57.296",
    }),
    ("reading", 1): (r"arcsin\(sin (?P<a>\S+) x sin (?P<roll>\S+)\)", {
        "you set the finder to the roll itself": "{roll}",
        "you set the finder to the bend": "{a}",
        "you use the cosine of the bend, not its sine": "arcsin(cos {a} x sin {roll})",
        "you leave out the sine of the roll, which is good enough only for small rolls": "sin {a} x {roll}",
    }),
    ("reading", 2): (r"(?P<zero>.*) \+ (?P<shown>arcsin.*)", {
        "you forget the finder's own error": "{shown}",
        "you subtract the finder's own error, but you must add it": "{shown} - {zero}",
    }),
    ("reading", 3): (r"arcsin\(sin (?P<shown>\S+) / sin (?P<a>\S+)\)", {
        "you confuse the reading with the roll": "{shown}",
        "you divide by the cosine": "{shown} / cos {a}",
        "you multiply by the sine, but you must divide by it": "arcsin(sin {shown} x sin {a})",
    }),
    ("finder", 1): (rf"arcsin\(sin {ANGLE} x sin (?P<roll>{NUMBER})\)", {
        "you set the finder to the sweep, which is right only with equal bends": "{sweep}",
        "you set the finder to the roll itself": "{roll}",
    }),
    ("finder", 2): (rf"arcsin\(sin (?P<shown>{NUMBER}) / sin {ANGLE}\)", {
        "you take the roll that was wanted, but they turned the tube to another one": "{roll}",
        "you confuse the reading with the roll": "{shown}",
        "you use the outer bend, not the inner one": "arcsin(sin {shown} / sin {outer})",
    }),
    ("finder", 3): (r"(?P<zero>.*) \+ (?P<shown>arcsin.*)", {
        "you forget the finder's own error": "{shown}",
        "you subtract the finder's own error, but you must add it": "{shown} - {zero}",
    }),
    ("direction", 1): (r".*", {
        "you think that the wrong grip comes out straight, but it points forward": "{sweep}",
        "you think that the slope makes no difference": "0",
        "you confuse the roll with the sweep": "2 x {roll}",
    }),
    ("stop", 1): (SET, {
        "you forget the springback": "{bend}",
        "you make the stop smaller by the springback, not larger": "{bend} x {kept} / {set}",
        "you add the loss of the test bend to every bend, small or large": "{bend} + {set} - {kept}",
    }),
    ("stop", 2): (r"(?P<start>.*) - (?P<ahead>\S+)", {
        "you forget the line-up offset of the die": "{start}",
        "you add the offset, but you must subtract it": "{start} + {ahead}",
    }),
    ("stop", 3): (r"100 x \(30 - \((?P<more>\S+) - (?P<kept>\S+)\)\) / 30", {
        "you count play and springback together": "100 x (30 - {kept}) / 30",
        "you read degrees as per cent": "30 - ({more} - {kept})",
    }),
    ("order", 1): (r"(?P<hook>.*)", {
        "you think that the follower is on the riser, but the hook holds it": "{follower}",
        "you put both hook and follower on the riser": "{hook} + {follower}",
    }),
    ("order", 3): (r"(?P<follower>.*)", {
        "you put the hook on the riser, but it holds the grip": "{hook}",
        "you put both hook and follower on the riser": "{hook} + {follower}",
    }),
    ("pair", 2): (SET, {
        "you swap the two stops, and this one is for the inner bends": "{inner} / ({keeps})",
        "you forget the springback": "{outer}",
        "you make the stop smaller by the springback, not larger": "{outer} x ({keeps})",
    }),
    ("pair", 3): (SET, {
        "you swap the two stops, and this one is for the outer bends": "{outer} / ({keeps})",
        "you forget the springback": "{inner}",
    }),
    ("faulty bend", 2): (
        r"error of its rise / \((?P<of_inner>.*?)\) for an inner bend, / \((?P<of_outer>.*?)\) for an outer bend", {
        "you turn the sign round, but with a plus slope more bend gives more rise": "-({missed}) / ({of_its})",
        "you count millimetres of rise as degrees": "{missed}",
        "you use the slope of the outer bend": "{missed} / ({of_outer})",
        "you use the slope of the inner bend": "{missed} / ({of_inner})",
    }),
    ("faulty bend", 3): (r"its degrees x \((?P<of_inner>.*?)\) or x \((?P<of_outer>.*?)\)", {
        "you use the other bend of that side": "{missed} / ({rise_of_other}) x ({of_other})",
        "you turn the sign round": "-({missed}) / ({rise_of_its}) x ({of_its})",
    }),
    ("cope", 1): (ORDINATE, {
        "you use the diameters, not the radii": TWICE,
        "you leave out the first part, with the cotangent": "{root} / sin {a}",
        "you count the stations from the obtuse side": "{root} / sin {a} - {r} x cos {t} / tan {a}",
        "you swap tangent and cotangent": "{r} x cos {t} x tan {a} + {root} / sin {a}",
    }),
    ("cope", 2): (r"(?P<axes>.*) - 2 x (?P<tip>\S+)", {
        "you cut the crossbar to the axes, and forget the tube of the bar": "{axes}",
        "you subtract the diameter of the bar, as if the joints were square": "{axes} - {header}",
        "you cope only one end": "{axes} - {tip}",
        "you use the ordinate of another station, not of the tip": "{axes} - 2 x {before}",
    }),
    ("cope", 3): (ORDINATE, {
        "you use the station of the question before": "{before}",
        "you use the diameters, not the radii": TWICE,
    }),
    ("record", 0): (r"\((?P<marks>.*)\) / \((?P<rises>.*)\)", {"you swap rise and mark": "({rises}) / ({marks})"}),
    ("record", 1): (
        r"(?P<low>\S+|\(.*?\)) \+ (?P<slope>\((?P<high>\S+|\(.*?\)) - .* / \(.*\)) x \((?P<by>\d+ - \d+)\)", {
        "you copy the lower bar": "{low}",
        "you copy the higher bar": "{high}",
        "you count a millimetre of rise as a millimetre of mark": "{low} + {by}",
        "you count from the wrong bar": "{high} - {slope} x ({by})",
    }),
    ("record", 3): (r"(?P<miss>\S+) x (?P<slope>.*)", {
        "you count a millimetre of rise as a millimetre of mark": "{miss}",
        "you divide by the slope": "{miss} / ({slope})",
    }),
    ("print", 1): (r"(?P<mark>\S+) x (?P<line>.*) / 100", {
        "you trust the sheet without a check": "{mark}",
        "you divide, but you must multiply": "{mark} x 100 / {line}",
        "you count the error of the line once, not for each 100 mm": "{mark} + {line} - 100",
    }),
    ("print", 3): (r"100 x 100 / (?P<line>.*)", {
        "you make the error a second time": "{line}",
        "you think that the scale is true already": "100",
    }),
    ("hands", 0): (r".*", {"you think that the stem points straight up": "0"}),
    ("hands", 1): (rf"(?P<stem>\d+) x cos (?:\((?P<head>90 - {NUMBER}) - \((?P<angle>[-+]\d+)\)\)|(?P<square>.*))", {
        "you swap sine and cosine": "{forward}",
        "you think that a stem square to the steering axis is level": "0",
        "you count the angle of the stem the wrong way": "{stem} x cos({head} + ({angle}))",
    }),
    ("hands", 2): (r"(?P<rise>\S+) x cos (?P<roll>\d+) - (?P<back>\S+) x sin \d+", {
        "you think that a turn of the bar changes only the sweeps": "{rise}",
        "you forget that the ends are behind the clamp axis": "{rise} x cos {roll}",
        "you turn the bar the other way": "{rise} x cos {roll} + {back} x sin {roll}",
    }),
    ("hands", 3): (r"(?P<stem>.*\)) - (?P<ends>\((?P<back>\S+) x cos .*\))", {
        "you think that the stem roll does not move the ends": "{stem} - {back}",
        "you add the way back, but you must subtract it": "{stem} + {ends}",
        "you leave out the stem": "-{ends}",
    }),
    ("moment", 0): (r"(?P<force>\d+) x \((?P<width>\d+) / 2 - .*", {
        "you use the whole width as the lever arm": "{force} x {width} / 1000",
    }),
    ("moment", 1): (
        rf"(?P<force>\d+) x \((?P<half>\d+ / 2) - (?P<inward>50 x cos {NUMBER}) - (?P<stem>\d+ / 2)\) / (?P<W>.*)", {
        "you put the load at the very end of the bar": "{force} x ({half} - {stem}) / {W}",
        "you measure the lever arm to the middle of the stem": "{force} x ({half} - {inward}) / {W}",
        "you use half the width as the lever arm": "{force} x {half} / {W}",
        "you make an error between newton metres and newton millimetres":
            "{force} x ({half} - {inward} - {stem}) / {W} / 10",
    }),
    ("moment", 3): (r"(?P<low>\d+) x (?P<W>.*) / (?P<arm>\(\d+ / 2 .*\))", {
        "you use the high end of the band": "{high} x {W} / {arm}",
        "you count the lever arm twice": "{low} x {W} / (2 x {arm})",
    }),
}  # fmt: skip
"""By kind and place of the question: the pattern of the sum that is right, and by its words the sum of each mistake."""
