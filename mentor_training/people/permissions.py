"""The one table of who may do what; pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

VOLUNTEER = "volunteer"
OBSERVER = "observer"
COURSE_INSTRUCTOR = "course-instructor"
COORDINATOR = "coordinator"
ROLES = (VOLUNTEER, OBSERVER, COURSE_INSTRUCTOR, COORDINATOR)


class Act(StrEnum):
    """Everything that needs permission."""

    SEE_OWN_PATH = "see one's own path"
    LEARN = "read modules"
    COMPLETE_MODULES = "complete modules and take quizzes"
    SEE_PROGRAM = "see the program"
    PUBLISH = "publish editions of the program"
    SEE_OBSERVATIONS = "see who has been seen doing what"
    OBSERVE = "observe volunteers"
    SIGN_OFF = "sign skills off"
    HOLD_TALK = "record a conversation"
    KEEP_STANDINGS = "calibrate and entitle observers"
    SET_UP_CALIBRATION = "set up calibrations and agree their keys"
    SCORE_CALIBRATION = "score calibrations"
    SEE_AGREEMENT = "see how far observers agree"
    REVIEW = "assign, release and close reviews of what observers stopped"
    WORK_ON_REVIEW = "work on the reviews assigned to one"
    STRIKE = "strike observations entered by mistake"
    WITHDRAW_SIGN_OFF = "withdraw one's own sign-offs"
    REPORT_INCIDENT = "report incidents"
    SEE_INCIDENTS = "see all incidents"
    PUT_OWN_PAPER = "put one's own papers on file"
    VERIFY_PAPERS = "verify papers"
    SEE_CLEARANCE = "see the clearance of volunteers"
    SEE_VOLUNTEER = "see one volunteer's clearance"
    STAND_DOWN = "stand down, restrict, waive and lift"
    WITHDRAW = "withdraw records"
    SEE_PARTICIPANTS = "see participants and their needs"
    SEE_SESSIONS = "see sessions"
    PLAN = "plan sessions"
    CHECK_IN = "check people in and out"
    SEE_OWN_HOURS = "see one's own hours"
    SEE_SECTION_HOURS = "see the hours of a section"
    APPROVE_HOURS = "approve hours"
    MAKE_STATEMENT = "make statements"
    SEE_ITEMS = "see how quiz items do"
    SEE_RETAKES = "see who has a module to retake"
    SET_PASS_MARKS = "set pass marks"  # noqa: S105 - a mark, not a word to pass by
    ISSUE_CERTIFICATES = "issue and revoke certificates"
    HAVE_LETTERS = "have letters of one's own hours"
    SEND_NOTES = "send mid-term notes"
    KEEP_ADDRESSES = "see addresses that mail does not reach"
    SEE_OWN_ACCOUNT = "see one's own account"
    INVITE = "invite people"
    KEEP_ACCOMMODATIONS = "keep accommodations"
    SEE_JOBS = "see the background work that one has asked for"
    SEE_JOURNAL = "see the journal"
    MOVE_REGISTER = "take the register in and write it out"


TABLE: dict[Act, frozenset[str]] = {
    Act.SEE_OWN_PATH: frozenset({VOLUNTEER}),
    Act.LEARN: frozenset(ROLES),
    Act.COMPLETE_MODULES: frozenset({VOLUNTEER}),
    Act.SEE_PROGRAM: frozenset(ROLES),
    Act.PUBLISH: frozenset({COORDINATOR}),
    Act.SEE_OBSERVATIONS: frozenset({OBSERVER, COORDINATOR}),
    Act.OBSERVE: frozenset({OBSERVER}),
    Act.SIGN_OFF: frozenset({OBSERVER}),
    Act.HOLD_TALK: frozenset({OBSERVER}),
    Act.KEEP_STANDINGS: frozenset({COORDINATOR}),
    Act.SET_UP_CALIBRATION: frozenset({COURSE_INSTRUCTOR, COORDINATOR}),
    Act.SCORE_CALIBRATION: frozenset({OBSERVER}),
    Act.SEE_AGREEMENT: frozenset({COURSE_INSTRUCTOR, COORDINATOR}),
    Act.REVIEW: frozenset({COORDINATOR}),
    Act.WORK_ON_REVIEW: frozenset({OBSERVER, COURSE_INSTRUCTOR, COORDINATOR}),
    Act.STRIKE: frozenset({COORDINATOR}),
    Act.WITHDRAW_SIGN_OFF: frozenset({OBSERVER, COORDINATOR}),
    Act.REPORT_INCIDENT: frozenset({OBSERVER, COORDINATOR}),
    Act.SEE_INCIDENTS: frozenset({COORDINATOR}),
    Act.PUT_OWN_PAPER: frozenset({VOLUNTEER}),
    Act.VERIFY_PAPERS: frozenset({COORDINATOR}),
    Act.SEE_CLEARANCE: frozenset({OBSERVER, COORDINATOR}),
    Act.SEE_VOLUNTEER: frozenset(ROLES),
    Act.STAND_DOWN: frozenset({COORDINATOR}),
    Act.WITHDRAW: frozenset({COORDINATOR}),
    Act.SEE_PARTICIPANTS: frozenset({COORDINATOR}),
    Act.SEE_SESSIONS: frozenset({VOLUNTEER, OBSERVER, COORDINATOR}),
    Act.PLAN: frozenset({COORDINATOR}),
    Act.CHECK_IN: frozenset({OBSERVER, COORDINATOR}),
    Act.SEE_OWN_HOURS: frozenset({VOLUNTEER}),
    Act.SEE_SECTION_HOURS: frozenset({COURSE_INSTRUCTOR, COORDINATOR}),
    Act.APPROVE_HOURS: frozenset({COURSE_INSTRUCTOR, COORDINATOR}),
    Act.MAKE_STATEMENT: frozenset({COURSE_INSTRUCTOR, COORDINATOR}),
    Act.SEE_ITEMS: frozenset({COURSE_INSTRUCTOR}),
    Act.SEE_RETAKES: frozenset({COURSE_INSTRUCTOR, COORDINATOR}),
    Act.SET_PASS_MARKS: frozenset({COURSE_INSTRUCTOR, COORDINATOR}),
    Act.ISSUE_CERTIFICATES: frozenset({COURSE_INSTRUCTOR, COORDINATOR}),
    Act.HAVE_LETTERS: frozenset(ROLES),
    Act.SEND_NOTES: frozenset({COURSE_INSTRUCTOR, COORDINATOR}),
    Act.KEEP_ADDRESSES: frozenset({COORDINATOR}),
    Act.SEE_OWN_ACCOUNT: frozenset(ROLES),
    Act.INVITE: frozenset({COORDINATOR}),
    Act.KEEP_ACCOMMODATIONS: frozenset({COORDINATOR}),
    Act.SEE_JOBS: frozenset({COURSE_INSTRUCTOR, COORDINATOR}),
    Act.SEE_JOURNAL: frozenset({COORDINATOR}),
    Act.MOVE_REGISTER: frozenset({COORDINATOR}),
}


@dataclass(frozen=True)
class Actor:
    """Who acts: a person with an account, or the console of the machine that the program runs on."""

    code: str
    name: str
    roles: frozenset[str]
    sections: tuple[str, ...] = ()

    def may(self, act: Act) -> bool:
        """Say whether one of their roles opens an act."""
        return may(self.roles, act)


CONSOLE = Actor("console", "The console", frozenset({COORDINATOR}))


def may(roles: Iterable[str], act: Act) -> bool:
    """Say whether any of the roles opens an act. A rule of this program: least is the rule."""
    return not TABLE[act].isdisjoint(roles)
