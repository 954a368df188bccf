"""Static files are collected quickly, hashed and with a small copy of each text."""

from pathlib import Path

from django.core.management import call_command


def test_texts_get_a_hashed_name_and_a_gzipped_copy_and_nothing_slower(settings, tmp_path):
    settings.STATIC_ROOT = tmp_path
    settings.STORAGES = {
        **settings.STORAGES,
        "staticfiles": {"BACKEND": "shop.static_storage.QuicklyCompressed"},
    }
    call_command("collectstatic", interactive=False, verbosity=0)
    names = [path.name for path in Path(tmp_path, "shop").iterdir()]
    assert any(name.startswith("trenail.") and name.endswith(".css.gz") for name in names)
    assert not list(tmp_path.rglob("*.br"))
    assert not list(tmp_path.rglob("*.map.gz"))
