"""A small roster: one class of the program and one of somebody else, two students and a teacher."""

from __future__ import annotations

FILES = {
    "manifest": "propertyName,value\r\nmanifest.version,1.0\r\n"
    "oneroster.version,1.2\r\nfile.orgs,bulk\r\nfile.users,bulk\r\n",
    "orgs": "sourcedId,status,dateLastModified,name,type,identifier,parentSourcedId\r\no1,,,Marrowdale,school,,\r\n",
    "academicSessions": "sourcedId,status,dateLastModified,title,type,startDate,endDate,parentSourcedId,schoolYear\r\n"
    "t1,,,Fall,semester,2026-08-24,2026-12-12,,2027\r\n",
    "courses": "sourcedId,status,dateLastModified,title,orgSourcedId\r\nk1,,,Practicum,o1\r\n",
    "classes": "sourcedId,status,dateLastModified,title,courseSourcedId,classCode,classType,"
    "schoolSourcedId,termSourcedIds\r\n"
    "c1,,,Practicum A,k1,KIN-372-A,scheduled,o1,t1\r\nc2,,,Chemistry,k1,CHM-1,scheduled,o1,t1\r\n",
    "users": "sourcedId,status,dateLastModified,enabledUser,username,givenName,familyName,identifier,"
    "email,metadata.x\r\n"
    "u1,,,true,ob,Odalys,Brannagh-Tull,,v-001@marrowdale.example,x\r\n"
    "u2,,,true,nw,Nerys,Wend,v-050,nerys.wend@marrowdale.example,x\r\n"
    "u3,,,true,hm,Hadrian,Mossop,,i-01@marrowdale.example,x\r\n",
    "roles": "sourcedId,status,dateLastModified,userSourcedId,roleType,role,orgSourcedId\r\n"
    "r1,,,u1,primary,student,o1\r\n",
    "enrollments": "sourcedId,status,dateLastModified,classSourcedId,schoolSourcedId,userSourcedId,role\r\n"
    "e1,,,c1,o1,u1,student\r\ne2,,,c1,o1,u2,student\r\ne3,,,c1,o1,u3,teacher\r\ne4,,,c2,o1,u2,student\r\n",
}
