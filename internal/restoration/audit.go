package restoration

import (
	"slices"
	"time"
)

// Act is what a person did that is no event of the ledger, as the audit keeps it.
type Act string

// The acts. The words are kept for ever: a changed one would part old rows from new.
const (
	ActCreateOwner     Act = "create owner"
	ActAddPerson       Act = "add person"
	ActRenamePerson    Act = "rename person"
	ActChangeRole      Act = "change role"
	ActSetPIN          Act = "set PIN"
	ActSetPassword     Act = "set password"
	ActLockPerson      Act = "lock person"
	ActUnlockPerson    Act = "unlock person"
	ActPersonLeft      Act = "person left"
	ActPersonBack      Act = "person back"
	ActSignIn          Act = "sign in"
	ActAddTablet       Act = "add tablet"
	ActEnrolTablet     Act = "enrol tablet"
	ActRevokeTablet    Act = "revoke tablet"
	ActReadmitTablet   Act = "readmit tablet"
	ActAddLink         Act = "add link"
	ActChangeLink      Act = "change link"
	ActRevokeLink      Act = "revoke link"
	ActTakeInCar       Act = "take in car"
	ActEditCar         Act = "edit car"
	ActEditPiece       Act = "edit piece"
	ActAddRoute        Act = "add route"
	ActChangeRoute     Act = "change route"
	ActOrderRoutes     Act = "order routes"
	ActRetireRoute     Act = "retire route"
	ActRestoreRoute    Act = "restore route"
	ActChangeSettings  Act = "change settings"
	ActAddMaterial     Act = "add material"
	ActChangeMaterial  Act = "change material"
	ActRetireMaterial  Act = "retire material"
	ActRestoreMaterial Act = "restore material"
	ActAddLot          Act = "add lot"
	ActChangeLot       Act = "change lot"
	ActSaveScheme      Act = "save scheme"
	ActAddSensor       Act = "add sensor"
	ActRevokeSensor    Act = "revoke sensor"
	ActReadmitSensor   Act = "readmit sensor"
	ActDropScheme      Act = "drop scheme"
	ActRestoreScheme   Act = "restore scheme"
	ActAddCertificate  Act = "add certificate"
	ActDropCertificate Act = "drop certificate"
	ActReadCautions    Act = "read cautions"
	ActShowPhoto       Act = "show photo"
	ActHidePhoto       Act = "hide photo"
	ActRemovePhoto     Act = "remove photo"
	ActRestorePhoto    Act = "restore photo"
	ActAddPlace        Act = "add place"
	ActChangePlace     Act = "change place"
	ActRetirePlace     Act = "retire place"
	ActRestorePlace    Act = "restore place"
	ActSayFit          Act = "say how a place holds"
	ActLetGo           Act = "let go of entry"
)

// AuditKind is what an act is about, for who looks for one of them.
type AuditKind string

// The kinds. AuditSignIns is apart: there are more of them than of all others.
const (
	AuditCars      AuditKind = "cars and pieces"
	AuditLinks     AuditKind = "links"
	AuditPeople    AuditKind = "people"
	AuditTablets   AuditKind = "tablets"
	AuditRoutes    AuditKind = "routes"
	AuditSettings  AuditKind = "settings"
	AuditMaterials AuditKind = "materials"
	AuditPlaces    AuditKind = "places"
	AuditSignIns   AuditKind = "sign-ins"
)

// actWords says of each act what it is about and how a sentence goes on after the
// person's name; bare ones name nothing further.
var actWords = map[Act]struct {
	kind  AuditKind
	words string
	bare  bool
}{
	ActCreateOwner:     {AuditPeople, "set up the shop with its first owner", false},
	ActAddPerson:       {AuditPeople, "added", false},
	ActRenamePerson:    {AuditPeople, "gave another name to", false},
	ActChangeRole:      {AuditPeople, "changed what may be done by", false},
	ActSetPIN:          {AuditPeople, "set the PIN of", false},
	ActSetPassword:     {AuditPeople, "set the password of", false},
	ActLockPerson:      {AuditPeople, "locked after too many wrong tries:", false},
	ActUnlockPerson:    {AuditPeople, "unlocked", false},
	ActPersonLeft:      {AuditPeople, "noted as having left:", false},
	ActPersonBack:      {AuditPeople, "took back into the shop", false},
	ActSignIn:          {AuditSignIns, "signed in", true},
	ActAddTablet:       {AuditTablets, "made a code for the tablet", false},
	ActEnrolTablet:     {AuditTablets, "was let in by its code:", false},
	ActRevokeTablet:    {AuditTablets, "shut out the tablet", false},
	ActReadmitTablet:   {AuditTablets, "let back in the tablet", false},
	ActAddLink:         {AuditLinks, "made a link to", false},
	ActChangeLink:      {AuditLinks, "changed a link to", false},
	ActRevokeLink:      {AuditLinks, "revoked a link to", false},
	ActTakeInCar:       {AuditCars, "took in", false},
	ActEditCar:         {AuditCars, "changed", false},
	ActEditPiece:       {AuditCars, "changed", false},
	ActAddRoute:        {AuditRoutes, "added the route", false},
	ActChangeRoute:     {AuditRoutes, "changed the route", false},
	ActOrderRoutes:     {AuditRoutes, "put the routes into another order", true},
	ActRetireRoute:     {AuditRoutes, "retired the route", false},
	ActRestoreRoute:    {AuditRoutes, "brought back the route", false},
	ActChangeSettings:  {AuditSettings, "changed the settings", true},
	ActAddMaterial:     {AuditMaterials, "added the material", false},
	ActChangeMaterial:  {AuditMaterials, "changed the material", false},
	ActRetireMaterial:  {AuditMaterials, "retired the material", false},
	ActRestoreMaterial: {AuditMaterials, "brought back the material", false},
	ActAddLot:          {AuditMaterials, "put on the shelf the tin", false},
	ActChangeLot:       {AuditMaterials, "changed the tin", false},
	ActSaveScheme:      {AuditCars, "changed the finish of", false},
	ActAddSensor:       {AuditTablets, "made a token for the sensor", false},
	ActRevokeSensor:    {AuditTablets, "shut out the sensor", false},
	ActReadmitSensor:   {AuditTablets, "let back in the sensor", false},
	ActDropScheme:      {AuditCars, "deleted the finish of", false},
	ActRestoreScheme:   {AuditCars, "brought back the finish of", false},
	ActAddCertificate:  {AuditPeople, "entered a certificate of", false},
	ActDropCertificate: {AuditPeople, "took away a certificate of", false},
	ActReadCautions:    {AuditSignIns, "read the cautions of", false},
	ActShowPhoto:       {AuditCars, "lets the customer see a photo of", false},
	ActHidePhoto:       {AuditCars, "no longer lets the customer see a photo of", false},
	ActRemovePhoto:     {AuditCars, "took away a photo of", false},
	ActRestorePhoto:    {AuditCars, "brought back a photo of", false},
	ActAddPlace:        {AuditPlaces, "added the place", false},
	ActChangePlace:     {AuditPlaces, "changed the place", false},
	ActRetirePlace:     {AuditPlaces, "retired the place", false},
	ActRestorePlace:    {AuditPlaces, "brought back the place", false},
	ActSayFit:          {AuditPlaces, "said what is held well or badly by", false},
	ActLetGo:           {AuditCars, "let go, after it was refused,", false},
}

// Words is how a sentence goes on after the name of who did it: "added", "signed in".
// What it was done to follows, unless the words say it: then bare is true. An act of
// a newer program is said as it is kept.
func (a Act) Words() (words string, bare bool) {
	if w, ok := actWords[a]; ok {
		return w.words, w.bare
	}
	return string(a), false
}

// AuditKinds lists the kinds in the order in which they are offered.
func AuditKinds() []AuditKind {
	return []AuditKind{AuditCars, AuditLinks, AuditPeople, AuditTablets, AuditRoutes, AuditMaterials, AuditPlaces, AuditSettings, AuditSignIns}
}

// Acts lists the acts of a kind, sorted. The kind "" has every act but sign-ins; an
// unknown one has none.
func (k AuditKind) Acts() []Act {
	var acts []Act
	for a, w := range actWords {
		if w.kind == k || k == "" && w.kind != AuditSignIns {
			acts = append(acts, a)
		}
	}
	slices.Sort(acts)
	return acts
}

// AuditRow is one change by a person that is not an event of the ledger.
type AuditRow struct {
	ID            int64 // grows with time
	At            time.Time
	Person        string // "" is the program itself, or a command on its machine
	Device        string
	Act           Act
	Subject       string // as it was called then
	CarID         int64
	WorkOrder     string // of CarID as it is now; "" none
	PieceID       ID
	Before, After string // JSON, "" none
}

// AuditFilter chooses rows of the audit. Zero fields do not choose.
type AuditFilter struct {
	PersonID int64
	Acts     []Act
	CarID    int64
	PieceID  ID
	Before   int64 // only rows with a smaller ID
	Limit    int   // 0 is 100
}
