"""The grammar of a path.

    path     = node , { join , node } , [ ";" , "wires" , { about } ] ;
    join     = "+" | ">" , [ wire , ">" ] ;
    wire     = ( "wire" , [ name ] | name , quantity | quantity ) , { about } ;
    about    = quantity | key , value | word | figures ;
    node     = place | made ;
    place    = name , [ "." , terminal , [ "/" , terminal ] ] ;
    made     = kind , [ name ] , { quantity | word } , [ label ] , [ "as" , name ] , [ figures ]
             | name , figures ;
    figures  = "(" , item , { "," , item } , ")" ;
    item     = quantity | quantity , "to" , quantity | key , value | word , { word } ;
    quantity = [ "~" ] , number , [ " " ] , unit | number , ( "to" | "-" ) , number , unit ;

``+`` is plugged or bolted on; ``>`` is a wire, one of unknown size where nothing stands between two
of them. After ``;`` stands what all wires of the path have that do not say otherwise. A name with
brackets after it is a load. Two terminals are those where the path comes in and goes out; the same
one twice has two wires on it. A label begins with a capital or stands in quotes; ``""`` is none.
Names with blanks stand in quotes.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from difflib import get_close_matches

from reviewer.model.parts import PART_KINDS
from reviewer.reading.circuits.advice import (
    figures_outside,
    missing_join,
    not_in_line,
    terminals_of_made,
)
from reviewer.reading.circuits.figure_reader import FigureReader
from reviewer.reading.circuits.figures import Figure, SaidFigures, begins_measure, measure, unit_follows
from reviewer.reading.circuits.kinds_in_line import DIMENSIONS, IN_LINE, MEANT, THROUGH, WIRE, vocabulary
from reviewer.reading.circuits.names_in_line import has_label
from reviewer.reading.circuits.path_nodes import Join, MadeNode, Node, Path, PlaceNode
from reviewer.reading.circuits.tokens import PathError, Say, Token, tokens_of

#: how alike a word and a figure are of which one is the other misspelt: `schotky`, not `standby-radio`
_MISSPELT = 0.85
#: words after a kind that would turn it round, and are no names
_TURNED = frozenset({"reverse", "reversed", "backward", "backwards"})


def parse(text: str, declared: Collection[str], say: Say) -> Path:
    """The path of a text. ``declared`` are the parts of the file; ``say`` takes each mistake."""
    path = Path()
    try:
        tokens = tokens_of(text)
        if not tokens:
            raise PathError(
                0, "a path is missing; write for example `main-bus + breaker 5 A > radio (1 A) > ground`"
            )
    except PathError as error:
        say(error.at, error.message)
        path.whole = False
        return path
    _Parser(tokens, declared, say, path).all()
    return path


class _Parser(FigureReader):
    def all(self) -> None:
        """Node, join, node; after a mistake it goes on at the next join."""
        self.path.nodes.append(self._or_none(self._first_node))
        gap = False
        while (token := self._token()) is not None and token.sign != ";":
            if token.sign in (">", "+"):
                join = self._join(token)
                if join is None:
                    return
                join.gap, gap = gap, False
                self.path.joins.append(join)
                self.path.nodes.append(self._or_none(self._node))
            else:
                self._say(PathError(token.at, missing_join(token, self.tokens[self.next - 1])))
                self._skip()
                gap = True
        if token is not None:
            try:
                self._common()
            except PathError as error:
                self._say(error)

    def _first_node(self) -> Node:
        if begins_measure(self.tokens, self.next):
            token = self.tokens[self.next]
            raise PathError(
                token.at, f"a path begins at a bus or source, such as `main-bus`, not at `{token.text}`"
            )
        return self._node()

    def _or_none(self, read: Callable[[], Node]) -> Node | None:
        try:
            return read()
        except PathError as error:
            self._say(error)
            self._skip()
            return None

    def _join(self, token: Token) -> Join | None:
        """The join that begins at a sign; None where the path ends with it."""
        self.next += 1
        if token.sign == "+":
            return Join(token.at, plus=True)
        if not self._wire_ahead():
            return Join(token.at)
        join = self._wire()
        after = self._token()
        if after is not None and after.sign == ">":
            self.next += 1
        elif after is None or after.sign == ";":
            self._say(PathError(join.at, "the path ends with a wire; continue with ` > ` and where it ends"))
            return None
        elif after.sign == "+":
            self._say(
                PathError(after.at, "after a wire comes ` > `; ` + ` is for what is plugged or bolted on")
            )
            self.next += 1
        else:
            said = f"`{after.text}` is not a figure of a wire; write ` > ` before it if it is what comes next"
            self._say(PathError(after.at, said))
        return join

    def _wire_ahead(self) -> bool:
        token = self._token()
        if token is None or token.sign:
            return False
        if begins_measure(self.tokens, self.next):
            return True
        if token.quoted or token.text in self.declared or token.text in PART_KINDS:
            return False
        if token.text == WIRE:
            return True
        if not (begins_measure(self.tokens, self.next + 1) and unit_follows(self.tokens, self.next + 1)):
            return False
        try:
            found = measure(self.tokens, self.next + 1)
        except PathError:
            return True  # told where it is read as a wire
        return found is not None and DIMENSIONS[found.unit] in MEANT[WIRE]

    def _wire(self) -> Join:
        """A wire; a mistake in it leaves what stands before it."""
        first = self._token()
        assert first is not None
        named = not begins_measure(self.tokens, self.next)
        join = Join(first.at)
        if named and first.text != WIRE:
            join.name = first.text
            self.next += 1
        elif named:
            self.next += 1
            second = self._token()
            if (
                second
                and not second.sign
                and not begins_measure(self.tokens, self.next)
                and (second.quoted or second.text not in {**vocabulary(WIRE).keys, **vocabulary(WIRE).words})
            ):
                join.name, join.at = second.text, second.at
                self.next += 1
        self._about(join)
        return join

    def _node(self) -> Node:
        token = self._token()
        if token is None or token.sign == ";":
            at = self.tokens[self.next - 1].at if self.next else 0
            raise PathError(at, "nothing follows here; write where the path ends")
        if token.sign:
            raise PathError(token.at, f"a part is missing before `{token.text}`")
        after = self._token(1)
        bracket = after is not None and after.sign == "("
        ends = after is None or after.sign in (">", "+", ";")
        if token.quoted or (ends and token.text in self.declared):
            return self._named(token, bracket)
        if token.text in IN_LINE:
            return self._made(token)
        if token.text in PART_KINDS:
            raise PathError(token.at, not_in_line(token.text))
        return self._named(token, bracket)

    def _named(self, token: Token, bracket: bool) -> Node:
        if begins_measure(self.tokens, self.next + 1):
            figure = measure(self.tokens, self.next + 1)
            assert figure is not None
            raise PathError(token.at, figures_outside(token, figure.text, self.declared))
        self.next += 1
        name, dot, terminals = token.text.partition(".")
        if dot and not terminals:
            raise PathError(token.at, f"a terminal is missing after the dot of `{token.text}`")
        if not bracket:
            return PlaceNode(token.at, name, terminals)
        figures = SaidFigures("load", f"load {token.text}")
        try:
            self._brackets(figures)
        except PathError as error:
            self._say(error)
            self._skip()
        return MadeNode(token.at, "load", token.text, None, figures.values)

    def _made(self, kind: Token) -> Node:
        """A part of a kind: quantities, label, name and figures; a mistake in one of them leaves the
        others."""
        self.next += 1
        node = MadeNode(kind.at, kind.text, "", None, {})
        figures = SaidFigures(kind.text, kind.text)
        node.values = figures.values
        words: list[Token] = []
        if (name := self._token()) is not None and self._is_name(name, figures):
            node.name, node.at = name.text, name.at
            self.next += 1
            if "." in name.text or "/" in name.text or name.text in _TURNED:
                raise PathError(name.at, terminals_of_made(kind.text, name.text))
        while (token := self._token()) is not None and (not token.sign or token.sign == "("):
            if token.text == "<" and not token.quoted:
                break  # it stands where a join is
            try:
                if token.sign == "(":
                    self._brackets(figures)
                elif token.text == "as" and not token.quoted:
                    self._as(node)
                elif begins_measure(self.tokens, self.next) and (
                    not words or unit_follows(self.tokens, self.next)
                ):
                    self._quantity(figures)
                elif not words and self._is_word(token, figures):
                    self.next += 1
                    figures.word(token.text, token.at)
                else:
                    self.next += 1
                    words.append(self._label_word(token, kind.text))
            except PathError as error:
                self._say(error)
                self._skip_figure()
        if words:
            node.label = Figure(" ".join(w.text for w in words), words[0].at)
        return node

    def _is_word(self, token: Token, figures: SaidFigures) -> bool:
        """Whether a word says something of the part. `GEAR` on a switch is its label, not what moves it."""
        if token.quoted or (has_label(figures.kind) and not token.text[:1].islower()):
            return False
        return token.text.lower() in figures.known.words

    def _is_name(self, token: Token, figures: SaidFigures) -> bool:
        """Whether the word after a kind is the name of the part: in small letters, and no figure."""
        if token.sign or token.quoted or not token.text[:1].islower() or token.text == "as":
            return False
        known = [*figures.known.words, *figures.known.keys]
        return not get_close_matches(token.text, known, 1, _MISSPELT)

    def _skip_figure(self) -> None:
        """Past a figure that has a mistake, so that the name after it is read."""
        while (
            (token := self._token()) is not None
            and token.text != "as"
            and token.sign not in (">", "+", ";", "(")
        ):
            self.next += 1

    def _as(self, node: MadeNode) -> None:
        name = self._token(1)
        self.next += 1
        if name is None or name.sign:
            raise PathError(self.tokens[self.next - 1].at, "a name is missing after `as`")
        self.next += 1
        node.name, node.at = name.text, name.at

    def _label_word(self, token: Token, kind: str) -> Token:
        if token.quoted or not token.text[:1].islower():
            return token
        if token.text in THROUGH.get(kind, ()):
            raise PathError(token.at, terminals_of_made(kind, token.text))
        if token.text in vocabulary(kind).words:
            raise PathError(token.at, f"write `{token.text}` in brackets: `({token.text})`")
        said = f"`{token.text}` is not a figure of this part; a label is in capitals or in quotes"
        raise PathError(token.at, f"{said}, a name follows `as`, figures with a key go in brackets")

    def _common(self) -> None:
        self.next += 1
        token = self._token()
        if token is None or token.text != "wires":
            at = self.tokens[self.next - 1].at
            raise PathError(
                at, "after `;` comes what all wires of the path have: `; wires 20 AWG bundle NAME`"
            )
        self.next += 1
        join = Join(token.at)
        self._about(join)
        self.path.common = join.values
        if (left := self._token()) is not None:
            raise PathError(left.at, f"`{left.text}` is after the end of the path; `; wires ...` comes last")
