"""How values are written on sheets: lengths in the workshop's unit, money, hours."""

from django import template

register = template.Library()
