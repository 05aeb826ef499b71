"""Words of a list, as types: a field of the type `Face` holds one of the faces.

The type checker holds the code to the list. What comes from elsewhere is checked here, once for all nouns and
commands, by what stands in the type; msgspec reads such a field as any text, so that a word of a newer version is
carried as it is, and told of where a record is proved.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache, partial
from typing import TYPE_CHECKING, Any, get_args

import msgspec
from msgspec import Meta, Struct
from msgspec.inspect import Metadata, StructType, Type, UnionType, VarTupleType

from putback.trade.record.phrases import quoted

__all__ = ["OneOf", "Strange", "strange_words", "words_of"]

if TYPE_CHECKING:
    from typing import Annotated as OneOf
else:
    from typing import Annotated

    class OneOf:
        """`OneOf[Literal["", "left", "right"], "a hand of a thread"]`: its words, and what one of them is."""

        def __class_getitem__(cls, given: tuple[Any, str]) -> Any:
            literal, what = given
            return Annotated[str, Meta(extra={"words": get_args(literal), "what": what})]


def words_of(kind: Any) -> tuple[Any, ...]:
    """Return the words of a type, in order; the empty one, which stands for nothing said, is left out."""
    return tuple(word for word in get_args(kind)[1].extra["words"] if word)


class Strange(Struct, frozen=True):
    """A word that is none of its list."""

    path: tuple[str | int, ...]
    """Where it stands: names of fields, and places in lists."""
    word: str
    """The word."""
    what: str
    """What one of the list is, with its article."""
    words: tuple[str, ...]
    """The list; the empty word stands for nothing said."""

    @property
    def fault(self) -> str:
        """What is wrong: `“egg” is not a head.`"""
        return f"{quoted(self.word)} is not {self.what}."

    @property
    def refusal(self) -> str:
        """The same with what can be said."""
        return f"{self.fault[:-1]}; say {', '.join(filter(None, self.words))}."


_At = tuple[str | int, ...]
_Walk = Callable[[Any, _At], Iterator[Strange]]


def strange_words(noun: Struct) -> Iterator[Strange]:
    """Give every word of a noun or a command that is none of its list."""
    walk = _walk(type(noun))
    return iter(()) if walk is None else walk(noun, ())


@cache
def _walk(kind: type) -> _Walk | None:
    """Return what goes through the fields of a struct that hold words; None where none does."""
    info = msgspec.inspect.type_info(kind)
    assert isinstance(info, StructType)
    walks = [(field.name, walk) for field in info.fields if (walk := _walk_of(field.type)) is not None]

    def through(noun: Any, at: _At) -> Iterator[Strange]:
        for name, walk in walks:
            value = getattr(noun, name)
            if value is not None:
                yield from walk(value, (*at, name))

    return through if walks else None


def _walk_of(kind: Type) -> _Walk | None:
    if isinstance(kind, Metadata) and kind.extra and "words" in kind.extra:
        return partial(_one_word, kind.extra["what"], kind.extra["words"])
    if isinstance(kind, UnionType):
        return next((walk for inner in kind.types if (walk := _walk_of(inner)) is not None), None)
    if isinstance(kind, VarTupleType):
        each = _walk_of(kind.item_type)
        return None if each is None else partial(_through_all, each)
    return _walk(kind.cls) if isinstance(kind, StructType) else None


def _through_all(each: _Walk, items: tuple[Any, ...], at: _At) -> Iterator[Strange]:
    for place, item in enumerate(items):
        yield from each(item, (*at, place))


def _one_word(what: str, words: tuple[str, ...], word: str, at: _At) -> Iterator[Strange]:
    if word not in words:
        yield Strange(at, word, what, words)
