"""`coolcheck explain`: what a rule finds, why it matters, what to do."""

from datetime import date
from pathlib import Path

import click

from coolcheck.cli import choices
from coolcheck.cli.start import show
from coolcheck.judge.explain import fact_list, rule_list, rule_named, rule_page
from coolcheck.judge.process_words import process_words
from coolcheck.judge.rules import load_rules


def rules_like(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[str]:
    """The rules that begin so, for a shell that completes."""
    return [rule.id for rule in load_rules() if rule.id.startswith(incomplete)]


@click.command("explain")
@click.argument("rule", required=False, metavar="[RULE]", shell_complete=rules_like)
@click.option("--all", "all_pages", is_flag=True, help="The page of every rule.")
@click.option("--facts", is_flag=True, help="Every fact that a rule may ask for: meaning, unit, where it comes from.")
@choices.rules
def command(rule: str | None, all_pages: bool, facts: bool, rules: tuple[Path, ...]) -> None:
    """Explain a rule: what it finds, why it matters, what to do and on what it rests. Without RULE, list them all.

    \b
    Example:
      coolcheck explain deep-hole-with-flood-alone
    """
    if sum((rule is not None, all_pages, facts)) > 1:
        raise click.UsageError("give a rule, --all or --facts, one of them")
    words = process_words(date.today())
    if facts:
        show(fact_list(words))
        return
    known = load_rules(rules, words)
    if rule is None:
        show("\n".join(rule_page(one, words) for one in known) if all_pages else rule_list(known))
        return
    found = rule_named(rule, known)
    if isinstance(found, str):
        raise click.UsageError(found)
    show(rule_page(found, words))
