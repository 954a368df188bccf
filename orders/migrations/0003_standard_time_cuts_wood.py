from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ("orders", "0002_initial"),
    ]

    operations = [
        migrations.AddField(
            model_name="standardtime",
            name="cuts_wood",
            field=models.BooleanField(default=True),
        ),
    ]
