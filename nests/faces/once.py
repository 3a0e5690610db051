"""Commands that take each option once: of two values one would be passed over in silence."""

from __future__ import annotations

from collections import Counter

import click

from nests.units import BadInput


class Once(click.Command):
    """A command whose options that take one value, or none, may be given once."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Look at what was typed before click keeps the last of each; raises `BadInput`."""
        if not ctx.resilient_parsing:
            _, _, order = self.make_parser(ctx).parse_args(args=list(args))
            for each, times in Counter(order).items():
                if times > 1 and isinstance(each, click.Option) and not _may_repeat(each):
                    raise BadInput(f"{_said(each)} is given {_times(times)}; once is allowed.")
        return super().parse_args(ctx, args)


class OnceGroup(Once, click.Group):
    """A group whose own options, and those of its commands, may be given once."""

    command_class = Once
    group_class = type


def _may_repeat(option: click.Option) -> bool:
    return option.multiple or option.count or option.is_eager


def _said(option: click.Option) -> str:
    return "/".join((*option.opts[:1], *option.secondary_opts[:1]))


def _times(many: int) -> str:
    return "twice" if many == 2 else f"{many} times"
