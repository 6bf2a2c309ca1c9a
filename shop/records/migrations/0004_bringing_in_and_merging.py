from __future__ import annotations


import django.db.models.deletion
import shop.premises.clock
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('counter', '0003_guards'),
        ('records', '0003_facets'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AlterField(
            model_name='searchwords',
            name='marks',
            field=models.TextField(blank=True, help_text='Evidence markings, date stamps, what tells the unit from its twins.'),
        ),
        migrations.AlterField(
            model_name='searchwords',
            name='tokens',
            field=models.TextField(help_text='Tokens, then the words of serial and job number.'),
        ),
        migrations.CreateModel(
            name='Batch',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=200)),
                ('file', models.FileField(upload_to='brought-in/%Y/%m')),
                ('header', models.JSONField(default=list)),
                ('columns', models.JSONField(default=dict, help_text='Place of the column by what it holds.')),
                ('rows', models.PositiveIntegerField(default=0)),
                ('done', models.PositiveIntegerField(default=0, help_text='Rows dealt with so far.')),
                ('state', models.CharField(choices=[('matching', 'Columns to be matched'), ('running', 'Being brought in'), ('done', 'Brought in'), ('undone', 'Taken back')], default='matching', max_length=8)),
                ('made_at', models.DateTimeField(default=shop.premises.clock.now)),
                ('by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'verbose_name_plural': 'batches',
            },
        ),
        migrations.CreateModel(
            name='Merge',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(choices=[('customer', 'Customers'), ('unit', 'Units'), ('model', 'Models')], max_length=8)),
                ('gone_id', models.BigIntegerField(help_text='The one that is no longer offered.')),
                ('kept_id', models.BigIntegerField()),
                ('moved', models.JSONField(default=dict, help_text='Ids of the rows that point to the kept one now, by table and column.')),
                ('at', models.DateTimeField(default=shop.premises.clock.now)),
                ('undone_at', models.DateTimeField(blank=True, null=True)),
                ('by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
        ),
        migrations.CreateModel(
            name='BroughtRow',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.PositiveIntegerField(help_text='Counted from 1, the header not counted.')),
                ('digest', models.CharField(db_index=True, help_text='Of what the row says: known again in any file.', max_length=64)),
                ('again', models.BooleanField(default=False, help_text='It had been brought in before.')),
                ('sentence', models.CharField(blank=True, help_text='Why it was not taken.', max_length=300)),
                ('taken_back_at', models.DateTimeField(blank=True, null=True)),
                ('batch', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='outcomes', to='records.batch')),
                ('job', models.ForeignKey(null=True, on_delete=django.db.models.deletion.CASCADE, related_name='+', to='counter.job')),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('batch', 'number'), name='records_brought_row_once'), models.UniqueConstraint(condition=models.Q(('again', False), ('job__isnull', False)), fields=('digest',), name='records_brought_job_once')],
            },
        ),
    ]
