from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('registry', '0002_lists_checks_and_merges'),
    ]

    operations = [
        migrations.AddField(
            model_name='headcheck',
            name='by_class',
            field=models.JSONField(default=dict),
        ),
    ]
