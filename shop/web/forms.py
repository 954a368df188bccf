"""How forms are drawn: every field is a rule to write on, with its help and its errors."""

from django.forms.renderers import TemplatesSetting


class TrenailRenderer(TemplatesSetting):
    """Draws fields with `templates/field.html`."""

    field_template_name = "field.html"
