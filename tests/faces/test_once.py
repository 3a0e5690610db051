"""An option that takes one value is given once: of two, one would be passed over in silence."""

from __future__ import annotations

from collections.abc import Iterator

import click
import pytest

from nests.faces.cli import cli, main


def commands(group: click.Group, *before: str) -> Iterator[tuple[tuple[str, ...], click.Command]]:
    """Every command there is, with the words it is called by."""
    context = click.Context(group)
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        assert command is not None
        yield (*before, name), command
        if isinstance(command, click.Group):
            yield from commands(command, *before, name)


ALL = dict(commands(cli))


def once(command: click.Command) -> list[click.Option]:
    """The options of a command that may be given once."""
    return [
        each for each in command.params
        if isinstance(each, click.Option) and not each.multiple and not each.is_eager
    ]  # fmt: skip


@pytest.mark.parametrize("words", ALL, ids=" ".join)
def test_every_option_given_twice_is_refused(words, capsys):
    tried = 0
    for each in once(ALL[words]):
        value = () if each.is_flag else ("1",)
        with pytest.raises(SystemExit) as left:
            main([*words, each.opts[0], *value, each.opts[0], *value])
        said = capsys.readouterr()
        assert left.value.code == 2
        assert f"{each.opts[0]}" in said.err
        assert "is given twice; once is allowed." in said.err
        assert said.err.count("\n") == 1
        tried += 1
    assert tried or words in (("drawer",), ("measure",))


@pytest.mark.parametrize(
    "arguments",
    [
        ("drawer", "list", "--drawer", "a", "--drawer", "b"),
        ("drawer", "list", "--drawer=a", "--drawer=b"),
        ("drawer", "list", "--drawer", "a", "--drawer=a"),
        ("make", "round", "--papers", "--no-papers", "--out", "a"),
        ("make", "--out", "a", "--out", "b", "round", "--diameter", "20"),
    ],
)
def test_however_it_is_written(arguments, capsys):
    with pytest.raises(SystemExit) as left:
        main(list(arguments))
    assert left.value.code == 2
    assert "is given twice" in capsys.readouterr().err


def test_what_may_be_given_several_times_still_may(tmp_path, capsys):
    """Pushers are; the sentence is about the recipe that is not there."""
    with pytest.raises(SystemExit) as left:
        main(["make", "--recipe", str(tmp_path / "no.json"), "--pusher", "2,1.2", "--pusher",
              "4,1.2", "--out", str(tmp_path / "out")])  # fmt: skip
    assert left.value.code == 2
    assert "No such file" in capsys.readouterr().err


def test_help_of_a_command_with_its_own_options(capsys):
    main(["drawer", "list", "--help", "--help"])
    assert "--drawer" in capsys.readouterr().out
