from django.apps import AppConfig
from django.db.models.signals import post_migrate


class BlendsConfig(AppConfig):
    name = "blends"

    def ready(self):
        from blends.services import buying, reference, reshaped, sheet_papers, stale
        from plots.services import jobs, reshaping
        from plots.services.measuring import acreage_changed

        reshaping.about_to_reshape.connect(reshaped.on_about_to_reshape, dispatch_uid="blends")
        reshaping.plot_split.connect(reshaped.on_plot_split, dispatch_uid="blends")
        reshaping.split_undone.connect(reshaped.on_split_undone, dispatch_uid="blends")
        reshaping.plots_merged.connect(reshaped.on_plots_merged, dispatch_uid="blends")
        acreage_changed.connect(stale.on_acreage_changed, dispatch_uid="blends")
        jobs.register_work(sheet_papers.KIND, sheet_papers.make_paper)
        jobs.register_work(buying.KIND, buying.find_ways)
        post_migrate.connect(reference.load_after_migrate, sender=self, dispatch_uid="blends")
