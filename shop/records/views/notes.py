"""What repairs taught, chosen, looked at, and published beside the Open Repair file. For the owner."""

from __future__ import annotations

from django.http import HttpResponse, JsonResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from shop.frame import clock
from shop.frame.doors import StaffRequest, for_roles
from shop.frame.models import Role
from shop.records.forms import NotesForm
from shop.records.taking_out import repair_notes

owner_only = for_roles(Role.OWNER)
INDENT = {"indent": 2, "ensure_ascii": False}


@require_safe
@owner_only
def repair_notes_page(request: StaffRequest) -> HttpResponse:
    """Choose by rule, see each record as it would leave, and leave out single ones."""
    form = NotesForm(request.GET or None)
    told = form.cleaned_data if form.is_bound and form.is_valid() else {}
    rule = repair_notes.Rule(told.get("since"), told.get("kinds", ()), told.get("sure", False))
    wrong = form.is_bound and not form.is_valid()
    found, every = ([], 0) if wrong else repair_notes.offered(rule)
    context = {"form": form, "found": found, "every": every, "most": repair_notes.MOST}
    return render(request, "records/repair_notes.html", context, status=422 if wrong else 200)


@require_safe
@owner_only
def repair_notes_file(request: StaffRequest) -> HttpResponse:
    """The chosen records as a file."""
    told = repair_notes.document(request.GET.getlist("job"))
    answer = JsonResponse(told, json_dumps_params=INDENT)
    answer["Content-Disposition"] = f'attachment; filename="repair-notes-{clock.today().isoformat()}.json"'
    return answer


@require_safe
@owner_only
def repair_notes_schema(request: StaffRequest) -> HttpResponse:
    """The form of the file, as JSON Schema."""
    answer = JsonResponse(
        repair_notes.schema(), json_dumps_params=INDENT, content_type="application/schema+json"
    )
    answer["Content-Disposition"] = 'attachment; filename="repair-notes.schema.json"'
    return answer
