# Indexes that the herd list walks: visual tags in natural order, weights by size.

import herd.registry.models.tagorder
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('accounts', '0002_people_and_codes'),
        ('registry', '0004_tags'),
    ]

    operations = [
        migrations.AddIndex(
            model_name='event',
            index=models.Index(condition=models.Q(('is_void', False), ('weight_ng__isnull', False)), fields=['outfit', 'weight_ng'], name='event_by_weight'),
        ),
        migrations.AddIndex(
            model_name='tag',
            index=models.Index(models.F('outfit'), models.F('kind'), herd.registry.models.tagorder.NaturalKey('number'), condition=models.Q(('is_void', False)), name='tag_in_natural_order'),
        ),
    ]
