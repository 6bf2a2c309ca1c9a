"""The verbs of the premises as the journal tells them."""

from __future__ import annotations

WORDS = {
    "shop.numbers_set": "had the numbers of {series} go on from {next_value} in {year}",
    "profile.changed": "changed the shop’s profile: {fields}",
    "profile.logo_changed": "changed the logo on papers",
    "terms.added": "wrote terms in effect from {from_date}",
    "terms.withdrawn": "withdrew the terms that were to take effect on {from_date}",
    "shop.hours_set": "wrote down the bench’s hours from {from_date}",
    "shop.days_off_added": "wrote down days off from {first} to {last}",
    "shop.days_off_taken_back": "took back the days off from {first} to {last}",
    "shop.promise_rules_set": "changed how promised dates are dealt with",
    "staff.appointed": "gave an account as {roles}",
    "staff.changed": "changed an account, now {roles}",
    "staff.password_given": "gave somebody a new password",
    "staff.password_changed": "changed their own password",
    "staff.second_step_set_up": "set up the second step at their sign-in",
    "staff.spare_codes_made": "had new spare codes made for their sign-in",
    "staff.spare_code_used": "signed in with a spare code",
    "staff.second_step_dropped": "went back to signing in with the password alone",
    "staff.second_step_reset": "took the second step off an account: its password alone opens again",
    "shop.second_step_required": "required the second step at sign-in of a role: {role}",
    "shop.second_step_left_open": "left the second step at sign-in open to a role: {role}",
    "staff.sessions_ended": "signed an account out on other devices",
    "shop.door_rules_set": "changed how long one stays signed in",
    "staff.retired": "closed an account",
    "staff.brought_back": "opened an account again",
}
